"""Write a changed formula back into its text, comments and layout kept."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from levigate.formula.model import Formula, plain


def rewrite(text: str, formula: Formula) -> str:
    """Return the text of a formula with the percents of a changed one, everything else as it stood.

    Parameters
    ----------
    text : str
        The file the formula was read from.
    formula : Formula
        The same lines in the same order, with other percents; or with lines that the text lacks at the end of a phase.
    """
    import tomlkit

    document = tomlkit.parse(text)
    for table, phase in zip(document["phase"], formula.phases, strict=True):  # type: ignore[arg-type]
        lines: Any = table["lines"]  # type: ignore[index]
        for i, line in enumerate(phase.lines):
            if i >= len(lines):
                entry = tomlkit.inline_table()
                entry.update({"material": line.material, "percent": _number(line.percent)})
                lines.append(entry)
                continue
            if lines[i]["material"] != line.material:
                lines[i]["material"] = line.material
            if line.qs:
                continue
            if Decimal(str(_as_written(lines[i]["percent"]))) != line.percent:
                lines[i]["percent"] = _number(line.percent)
    return tomlkit.dumps(document)


def _as_written(value: Any) -> str:
    text = str(value).strip().removesuffix("%").strip()
    return text if text.lower().rstrip(".") not in ("q.s", "qs") else "-1"


def _number(percent: Decimal) -> Any:
    import tomlkit

    text = plain(percent)
    return tomlkit.value(text)
