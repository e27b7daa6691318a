"""How the athlete's folder is read and written: these defaults are the tool's and no brief changes them."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting


@dataclass(frozen=True)
class FolderSettings:
    """Defaults of reading and writing the athlete's folder."""

    largest_file_bytes: int = setting(
        1_000_000, unit="bytes", source=OUR_CHOICE, text="a longer file is refused before it is read"
    )
    lock_seconds: float = setting(
        10.0, unit="s", source=OUR_CHOICE, text="how long to wait while another run works on the same athlete"
    )
