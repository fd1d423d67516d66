"""What a calculation takes and gives, in words."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.utils.translation import gettext as _

from coordination.console.json_output import as_json_text
from coordination.console.lines import Line, titled
from coordination.handover.reading import status_words
from coordination.siteprep.calculations.registry import CALCULATIONS, Calculation


def listing() -> Iterator[Line]:
    """Every calculation by name with its first sentence."""
    widest = max(map(len, CALCULATIONS))
    for name, calculation in CALCULATIONS.items():
        about = calculation.explain()["about"]
        yield 0, f"{name.ljust(widest)}  {about.partition('. ')[0].rstrip('.')}"


def explanation(calculation: Calculation) -> Iterator[Line]:
    """Inputs with kinds, units and limits, results, rules, sources and an example that can be run."""
    told = calculation.explain()
    yield 0, f"{told['name']}: {told['about']}"
    yield from titled(_("INPUTS"), [(0, told["lengths"]), *_inputs(told["inputs"])])
    yield from titled(_("RESULTS"), [(0, told["results about"]), *((0, name) for name in told["results"])])
    yield from titled(_("RULES"), [(0, told["rules"])])
    yield from titled(_("SOURCES"), ((0, _source(source)) for source in told["sources"]))
    example = as_json_text(told["example"]).splitlines()
    yield from titled(_("EXAMPLE"), ((len(line) - len(line.lstrip()), line.strip()) for line in example))


def _inputs(inputs: Mapping[str, Mapping[str, Any]]) -> Iterator[Line]:
    for name, told in inputs.items():
        yield 0, f"{name}: {'; '.join(_of_input(told))}"
        yield from ((depth + 1, text) for depth, text in _inputs(told.get("fields", {})))


def _of_input(told: Mapping[str, Any]) -> Iterator[str]:
    yield str(told["meaning"])
    units = ", ".join(dict.fromkeys([told.get("unit", ""), *told.get("other units", ())]))
    yield f"{told['kind']} ({units})" if units else str(told["kind"])
    if "choices" in told:
        yield _("one of: %(choices)s") % {"choices": ", ".join(told["choices"])}
    if "at least" in told:
        yield _("at least %(limit)s") % {"limit": told["at least"]}
    if "at most" in told:
        yield _("at most %(limit)s") % {"limit": told["at most"]}
    if "default" in told:
        yield _("default %(default)s") % {"default": told["default"]}
    elif told.get("needed"):
        yield _("needed")
    else:
        yield _("may be unknown")


def _source(source: Mapping[str, str]) -> str:
    named = ", ".join(part for part in (source["document"], source["clause"]) if part)
    parts = [named, status_words(source["status"])]
    if source["confirm_with"]:
        parts.append(_("confirm with %(whom)s") % {"whom": source["confirm_with"]})
    return "; ".join(parts)
