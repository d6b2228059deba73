"""Write a finding in its open form: as a table, and as the text of a TOML file."""

import json
from collections.abc import Mapping
from typing import Any

from .catalogue import CatalogueFinding, ChangeStep, StopCondition, Suspect
from .conditions import as_text
from .finding_reader import TEXTS


def finding_table(finding: CatalogueFinding) -> dict[str, Any]:
    """The table that is read as ``finding``, without empty values.

    >>> from .shipped_catalogue import shipped
    >>> finding_table(shipped().findings["V2"])["ends"]
    ['front', 'rear']
    """
    texts = {name: getattr(finding, name) for name in TEXTS}
    return _filled(
        title=texts.pop("title"),
        family=finding.family,
        ends=[end.value for end in finding.ends] or ["both"],
        phases=[phase.value for phase in finding.phases],
        **texts,
        sources=list(finding.sources),
        suspects=[_suspect(suspect) for suspect in finding.suspects],
        steps=[_step(step) for step in finding.steps],
        stops=[_stop(stop) for stop in finding.stops],
    )


def finding_write(finding: CatalogueFinding) -> str:
    """A finding as one table of a TOML file.

    >>> from .shipped_catalogue import shipped
    >>> finding_write(shipped().findings["V2"]).splitlines()[0]
    '[V2]'
    """
    table = finding_table(finding)
    lines = [f"[{finding.code}]", *_pairs(table)]
    for name in ("suspects", "steps", "stops"):
        for row in table.get(name, ()):
            lines += ["", f"[[{finding.code}.{name}]]", *_pairs(row)]
    return "\n".join(lines) + "\n"


def _suspect(suspect: Suspect) -> dict[str, Any]:
    return _filled(
        text=suspect.text,
        kinds=[kind.value for kind in suspect.kinds],
        when=[as_text(condition) for condition in suspect.when],
        unless=[as_text(condition) for condition in suspect.unless],
        ask=suspect.ask,
        check=suspect.check,
        say=suspect.say,
        do=suspect.do,
        word_first=suspect.word_first,
    )


def _step(step: ChangeStep) -> dict[str, Any]:
    return _filled(
        suspect=step.suspect,
        when=as_text(step.when) if step.when else "",
        unless=[as_text(condition) for condition in step.unless],
        after=list(step.after),
        instead_of=[f"{end} {function}" for end, function in step.instead_of],
        end=step.end.value if step.end else "",
        function=step.function.value,
        direction=step.direction.value,
        share=step.share if step.share is not None else "",
        size=[step.low, step.high],
        unit=step.unit,
        expect=[f"{sign.quantity} {'+' if sign.sign > 0 else '-'}" for sign in step.expect],
    )


def _stop(stop: StopCondition) -> dict[str, Any]:
    return _filled(
        text=stop.text, action=stop.action.value, when=as_text(stop.when) if stop.when else ""
    )


def _filled(**values: Any) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value not in ("", [], False)}


def _pairs(table: Mapping[str, Any]) -> list[str]:
    """The values of a table that are not tables themselves."""
    return [f"{key} = {_value(value)}" for key, value in table.items() if not _is_tables(value)]


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _value(value: Any) -> str:
    """A value as TOML. Its texts are like those of JSON with one more escaped character."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return f"[{', '.join(_value(member) for member in value)}]"
    return str(value)
