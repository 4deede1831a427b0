"""Draw the pictures of the authors' guide and write its galleries: `python -m limberleaf.diagrams.make_guide`.

The prose of `README.md` is written by hand; the tables between `<!-- gallery: NAME -->` and `<!-- end -->` and every
picture in `guide/` come from here. `--check` changes nothing and prints what is stale.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from limberleaf.diagrams.body.skeleton import load_data
from limberleaf.diagrams.describing.describe import describe
from limberleaf.diagrams.draw import draw_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import part_rows, posture_rows
from limberleaf.diagrams.posing import solve_figure

HOME = Path(__file__).parent
SIDE_WORDS = {"affected": "affected", "other": "other"}
TRUNK_JOINTS = {"trunk", "lumbar", "thoracic", "neck", "pelvis"}


def guide_figures() -> Iterator[tuple[str, str, str, dict[str, Any]]]:
    """Yield (gallery, name, what an author writes, figure mapping) for every picture of the guide."""
    data = load_data("guide")
    for name in posture_rows():
        view = data["posture_views"].get(name, "auto")
        yield "postures", name, f"posture: {name}", {"view": view, "poses": [{"posture": name}]}
    for name, spec in data["props"].items():
        yield "props", name, _prop_text(spec["props"][0]), spec
    for name, row in data["motions"].items():
        joint, motion = name.split(".")
        yield "motions", name, _motion_text(joint, motion, row["degrees"]), _motion_spec(joint, motion, row)


def _prop_text(prop: dict[str, Any]) -> str:
    return "{" + ", ".join(f"{key}: {value}" for key, value in prop.items()) + "}"


def _motion_text(joint: str, motion: str, degrees: float) -> str:
    inner = f"{joint}: {{{motion}: {degrees}}}"
    return inner if joint in TRUNK_JOINTS else f"affected: {{{inner}}}"


def _motion_spec(joint: str, motion: str, row: dict[str, Any]) -> dict[str, Any]:
    """The two panels of a motion: the posture, then the joint at its angle."""
    change = {key: dict(value) for key, value in row.get("with", {}).items()}
    change.setdefault(joint, {})[motion] = row["degrees"]
    first: dict[str, Any] = {"posture": row["posture"]}
    if row.get("start"):
        first["joints"] = {"affected": row["start"]}
    second = {"joints": change if joint in TRUNK_JOINTS else {"affected": change}}
    extra: dict[str, Any] = {key: row[key] for key in ("view", "inset") if key in row}
    return {"poses": [first, second], **extra}


def guide_files() -> dict[str, str]:
    """Return every file of the guide by its path below this folder, freshly made."""
    files: dict[str, str] = {}
    galleries: dict[str, list[str]] = {}
    for gallery, name, text, mapping in guide_figures():
        solved = solve_figure(FigureSpec.model_validate(mapping), "right")
        drawing = draw_figure(solved)
        words = " ".join(describe(solved, "en", SIDE_WORDS))
        file = f"guide/{gallery}-{name.replace('.', '-').replace('_', '-')}.svg"
        files[file] = drawing.svg(title=name.replace("_", " ").replace(".", ", "), desc=words) + "\n"
        width = round(min(130.0 if gallery == "postures" else 110.0, drawing.size[0] * 0.45)) * len(
            drawing.pictures
        )
        galleries.setdefault(gallery, []).append(
            f'<td align="center" valign="bottom"><img src="{file}" width="{width}" alt="{words}"><br>'
            f"<code>{text}</code></td>"
        )
    text = _with_galleries((HOME / "README.md").read_text(encoding="utf-8"), galleries)
    files["README.md"] = _between(text, "<!-- list: parts -->\n", _parts_list())
    return files


def _parts_list() -> str:
    """Return every part an author may name, paired ones first, with the other words for it."""
    out = []
    for title, paired in (("Paired", True), ("Single", False)):
        names = [
            f"`{name}`" + (f" ({', '.join(row['also'])})" if row.get("also") else "")
            for name, row in sorted(part_rows().items())
            if bool(row.get("paired")) is paired
        ]
        out.append(f"- {title}: {', '.join(names)}.")
    return "\n".join(out) + "\n"


def _between(text: str, start: str, inner: str) -> str:
    """Return a text with what is between a mark and the next end mark replaced."""
    end = "<!-- end -->"
    before, _, rest = text.partition(start)
    return before + start + inner + end + rest.partition(end)[2]


def _with_galleries(text: str, galleries: dict[str, list[str]]) -> str:
    for name, cells in galleries.items():
        columns = 3 if name == "motions" else 4
        rows = [cells[start : start + columns] for start in range(0, len(cells), columns)]
        table = "<table>\n" + "\n".join("<tr>\n" + "\n".join(row) + "\n</tr>" for row in rows) + "\n</table>"
        text = _between(text, f"<!-- gallery: {name} -->\n", table + "\n")
    return text


def stale_files() -> list[str]:
    """Return the guide's files that differ from what would be made now, or that nothing makes any more."""
    expected = guide_files()
    stale = [
        name
        for name, text in expected.items()
        if not (HOME / name).is_file() or (HOME / name).read_text(encoding="utf-8") != text
    ]
    there = {f"guide/{path.name}" for path in (HOME / "guide").glob("*.svg")}
    return sorted([*stale, *(there - set(expected))])


def main(arguments: list[str]) -> int:
    """Write the guide, or with `--check` only print what is stale; returns 1 when something is."""
    if "--check" in arguments:
        stale = stale_files()
        sys.stdout.writelines(f"stale: {name}\n" for name in stale)
        return 1 if stale else 0
    expected = guide_files()
    (HOME / "guide").mkdir(exist_ok=True)
    for path in (HOME / "guide").glob("*.svg"):
        if f"guide/{path.name}" not in expected:
            path.unlink()
    for name, text in expected.items():
        (HOME / name).write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
