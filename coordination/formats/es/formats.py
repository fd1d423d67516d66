"""Spanish as it is read on sites in the United States: a point before decimals, as on every tape and drawing there.

The framework's own "es" writes 1234,5; its "es-mx" 1234.5 (Unicode CLDR 46, locale es-MX, numbers/symbols: decimal ".",
group ","). Days are typed as in English, because 03/04 is two days in two countries.
"""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
DATE_INPUT_FORMATS = ["%Y-%m-%d"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M"]
