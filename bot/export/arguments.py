"""The words of `potside export` and `potside import`; apart from the rest, so that the help needs nothing heavy."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

FORMATS = ("html", "pdf", "labels", "csv", "json", "ics")


def add_export_commands(commands: Any) -> None:
    """Add both commands to the command line."""
    export = commands.add_parser("export", help="write a batch as a page, or everything as data")
    export.add_argument("--batch", metavar="NAME", help="name, part of it, or short code; the latest where left out")
    export.add_argument("--as", dest="kind", choices=FORMATS, required=True, help="html, pdf and labels are of one batch")
    export.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="write here; - for standard output")
    export.add_argument("--chat", metavar="NAME", help="which chat of the file, where it holds several")
    export.add_argument("--force", action="store_true", help="overwrite a file that is there")
    restore = commands.add_parser("import", help="restore everything, photos too, from an export")
    restore.add_argument("file", metavar="FILE", type=Path, help="what 'potside export --as json' wrote, or the diary.json that /export makes")
    restore.add_argument("--chat", metavar="NAME", help="restore into this chat instead of the terminal's")
    for each in (export, restore):
        # SUPPRESS: a default here would overwrite a --data given before the command.
        each.add_argument("--data", metavar="FILE", type=Path, default=argparse.SUPPRESS, help="the diary's file")
