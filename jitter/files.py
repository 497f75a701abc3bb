"""Write files whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Write a text file so that nobody ever sees half of it.

    Parameters
    ----------
    path
        Where; its folder is made if missing.
    text
        UTF-8.

    Raises
    ------
    OSError
        If it cannot be written; what stood there before is untouched.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    part = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        # mkstemp makes files only their owner may read; a page is for everyone the folder is for.
        mask = os.umask(0)
        os.umask(mask)
        part.chmod(0o666 & ~mask)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
