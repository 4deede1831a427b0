"""Writing a site without MkDocs: the same documents, straight into a folder, or a copy that opens from disk."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from limberleaf.findings import Finding
from limberleaf.publish.compose import SiteBuilder
from limberleaf.publish.swap import landing, write_files


def write_site(
    content: Path, target: Path, *, today: date, cache: Path | None, name_files: bool = False
) -> tuple[int, list[Finding]]:
    """Write the site of `content` to `target`, whole or not at all.

    `name_files` makes every link name a file, so that the copy opens from disk. Such a copy is no publication: the
    lock of addresses stays as it is. Gives how many pages were written (0 when errors forbade it) and the findings.
    """
    composition, findings = SiteBuilder(content, cache).compose(today, name_files=name_files)
    if composition is None:
        return 0, findings
    with landing(target) as folder:
        write_files(composition.outputs, folder, standing=target)
    composition.save()
    if not name_files:
        composition.keep_lock()
    return len(composition.pages), findings
