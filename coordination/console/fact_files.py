"""Site facts from a TOML file: a bare file of facts, or a job with its project, authorities and working days.

Whatever is wrong is told at once, whether it stands in the file, in the data sheet it names, or in both.
"""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from coordination.console.answering import read_file
from coordination.console.refused import Refused
from coordination.projects.job_file import PARTICULARS, JobFileErrors, read_job
from coordination.siteprep.facts import FactErrors, Facts, read_facts
from coordination.siteprep.model_sheet import ModelSheet, load_model_sheet

OF_THE_JOB = ("project", "working_days", "rules")


def facts_of(path: Path) -> Facts:
    """The facts of the file at ``path``. Raises Refused with every fault by its key."""
    try:
        content = tomllib.loads(read_file(path))
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        raise Refused(str(path), [_("not TOML 1.0: %(fault)s") % {"fault": fault}]) from None
    faults: list[str] = []
    model = _model(path.parent, content.get("model_sheet"), faults)
    facts = _facts(content, model, faults)
    faults += _faults_of_the_job(path, content)
    if faults or facts is None:
        raise Refused(str(path), dict.fromkeys(faults))
    return facts


def rules_named_in(path: Path) -> list[Path]:
    """The files of local or company rules that a job file names, as paths. ``facts_of`` has looked at them."""
    return [path.parent / name for name in tomllib.loads(read_file(path)).get("rules", ())]


def _model(folder: Path, named: Any, faults: list[str]) -> ModelSheet | None:
    """The data sheet that the file names, beside it. Without it the facts are still read for their own faults."""
    if named is None:
        return None
    wrong = _("write the path of a data sheet in TOML 1.0, as seen from this file")
    if not isinstance(named, str):
        faults.append(f"model_sheet: {_('%r is not a path') % (named,)}; {wrong}")
        return None
    try:
        return load_model_sheet(folder / named)
    except FactErrors as errors:
        faults += [f"model_sheet {named}: {told}" for told in _told(errors)]
    except OSError:
        faults.append(f"model_sheet: {_('there is no file %s') % named}; {wrong}")
    except (ValueError, RecursionError) as fault:
        faults.append(f"model_sheet: {named!r}: {fault}; {wrong}")
    return None


def _facts(content: Mapping[str, Any], model: ModelSheet | None, faults: list[str]) -> Facts | None:
    try:
        return read_facts(_only_facts(content), model)
    except FactErrors as errors:
        faults += _told(errors)
    return None


def _only_facts(content: Mapping[str, Any]) -> dict[str, Any]:
    """The file without what only a job has."""
    bare = {key: value for key, value in content.items() if key not in (*OF_THE_JOB, "model_sheet")}
    authorities = bare.get("authority")
    if isinstance(authorities, dict):
        bare["authority"] = {
            kind: {key: value for key, value in table.items() if key not in PARTICULARS}
            if isinstance(table, dict)
            else table
            for kind, table in authorities.items()
        }
    return bare


def _faults_of_the_job(path: Path, content: Mapping[str, Any]) -> Iterator[str]:
    """What is wrong with the parts that no fact covers. A bare file of facts needs no name."""
    try:
        read_job(path)
    except JobFileErrors as errors:
        for key, wrong, right in errors.faults:
            ours = (
                key.partition(" ")[0].partition(".")[0] in OF_THE_JOB or key.rpartition(".")[2] in PARTICULARS
            )
            if (ours or key == "calendar.holidays") and (key != "project.name" or "project" in content):
                yield f"{key}: {wrong}; {right}"


def _told(errors: FactErrors) -> list[str]:
    language = (get_language() or "en")[:2]
    return [
        f"{fault.fact}: {wrong}; {right}"
        for fault in errors.faults
        for wrong, right in [fault.says(language)]
    ]
