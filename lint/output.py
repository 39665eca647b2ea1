"""Writing a file as a whole or not at all, so that what was there before is never half lost."""

from __future__ import annotations

import os
from contextlib import suppress


def write_whole(path: str, data: bytes) -> None:
    """Put ``data`` in the place of the file at ``path``, its permissions kept. Raises OSError."""
    import shutil
    import tempfile

    path = os.path.realpath(path)
    handle, beside = tempfile.mkstemp(dir=os.path.dirname(path), prefix=f".{os.path.basename(path)}.")
    try:
        with open(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(handle)
        if os.path.exists(path):
            shutil.copymode(path, beside)
        else:
            os.chmod(beside, 0o644)
        os.replace(beside, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise
