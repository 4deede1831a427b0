"""Writing a site without MkDocs: the same documents, straight into a folder, or a copy that opens from disk."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from limberleaf.findings import Finding
from limberleaf.output import explained
from limberleaf.publish.compose import SiteBuilder
from limberleaf.publish.swap import Landing, write_files


def write_site(
    content: Path, target: Path, *, today: date, cache: Path | None, name_files: bool = False
) -> tuple[int, list[Finding]]:
    """Write the site of `content` to `target`, whole or not at all.

    `name_files` makes every link name a file, so that the copy opens from disk. Such a copy is no publication: the
    lock of addresses stays as it is. Gives how many pages were written (0 when errors forbade it) and the findings.
    Raises OutputError when `target` must not or cannot be written to.
    """
    try:
        with Landing(target, content=content) as landing:
            builder = SiteBuilder(content, cache)
            composition, findings = builder.compose(today, name_files=name_files)
            if composition is None:
                return 0, findings
            known = builder.known_outputs("offline" if name_files else "plain", landing.target)
            # MkDocs copies what lies beside prose pages; without it, that is ours to do.
            beside = {path: file.read_bytes() for path, file in composition.library.page_files.items()}
            write_files(
                {**beside, **composition.outputs}, landing.fresh, published=landing.target, known=known
            )
            composition.save()
            landing.land(None if name_files else composition.keep_lock)
    except OSError as error:
        raise explained(error, target) from None
    return len(composition.pages), findings
