"""How templates are read: everything escaped, every name required, compiled once."""

from __future__ import annotations

import sys
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path

from jinja2 import Environment, FileSystemBytecodeCache, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket


def environment(folder: Path, *, keep: bool) -> Environment:
    """Give the environment of the templates in a folder; `keep` keeps what was compiled for the next run."""
    compiled = str(Path(cache_from_source(__file__)).parent)
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        bytecode_cache=_Compiled(compiled) if keep else None,
    )


class _Compiled(FileSystemBytecodeCache):
    """Compiled templates, kept where Python keeps the modules it compiled and by its rule whether to write any.

    Those of another version of a template or of Jinja are not taken.
    """

    def load_bytecode(self, bucket: Bucket) -> None:
        """Read a template that was compiled before, if it is there."""
        with suppress(OSError):
            super().load_bytecode(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep a template that was compiled, where that may be written."""
        if not sys.dont_write_bytecode:
            with suppress(OSError):
                super().dump_bytecode(bucket)
