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
    results = [(0, told["results about"]), (0, told["results note"]), (0, _("In the example below:"))]
    yield from titled(_("RESULTS"), [*results, *((1, line) for line in _of_example(told))])
    yield from titled(_("RULES"), [(0, told["rules"])])
    yield from titled(_("SOURCES"), ((0, _source(source)) for source in told["sources"]))
    example = as_json_text(told["example"]).splitlines()
    yield from titled(_("EXAMPLE"), ((len(line) - len(line.lstrip()), line.strip()) for line in example))


def _of_example(told: Mapping[str, Any]) -> Iterator[str]:
    """Each result by name, with what the example gives for it."""
    for name in told["results"]:
        found = told["example result"][name]
        yield f"{name}: {_short(found)}"


def _short(found: Any) -> str:
    if isinstance(found, Mapping) and "amount" in found:
        if "in" in found:
            return f"{found['in']:g} in"
        amount = found["amount"]
        shown = f"{amount:g}" if isinstance(amount, int | float) and not isinstance(amount, bool) else amount
        return f"{shown} {found['unit']}".strip()
    if isinstance(found, list):
        first = found[0] if found else None
        if isinstance(first, Mapping) and "outcome" in first:
            return "; ".join(_finding(each) for each in found)
        names = ", ".join(first) if isinstance(first, Mapping) else ", ".join(map(str, found))
        return _("list of %(number)s: %(names)s") % {"number": len(found), "names": names}
    return (
        ", ".join(f"{key} {_short(each)}" for key, each in found.items())
        if isinstance(found, Mapping)
        else str(found)
    )


def _finding(found: Mapping[str, Any]) -> str:
    return " ".join(filter(None, (found["key"], found["subject"]))) + f" = {found['outcome']}"


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
