"""Looking at a zip from somebody else before anything of it is unpacked: bombs and traps are refused by their figures.

The limits are a rule of thumb (common practice, no source), far above what people's files come to. A part that holds
more than its entry says is refused while it is read. XML with a document type is refused, since a parser may be made
to expand entities or to fetch files by it (OWASP, XML External Entity Prevention).
"""

from __future__ import annotations

import io
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path

from ledger.errors import BadInput

_CHUNK = 1 << 16
_READ = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
"""The others unpack a chunk to any length at once."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a zip may come to."""

    unpacked: int
    """Bytes of all parts together."""
    ratio: int
    """How many times larger than the file itself."""
    parts: int


WORKBOOK = Limits(unpacked=50_000_000, ratio=200, parts=500)
ARCHIVE = Limits(unpacked=2_000_000_000, ratio=200, parts=500)


def open_zip(path: Path, limits: Limits) -> zipfile.ZipFile:
    """Open a zip that keeps to the limits; whoever opens it closes it.

    Raises:
        BadInput: it is none, or goes beyond them.
    """
    try:
        size = path.stat().st_size
        file = zipfile.ZipFile(path)
    except OSError as error:
        raise BadInput(f"{path.name} cannot be read ({error.strerror}); check the path.", "file") from error
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise BadInput(f"{path.name} is damaged, or is no such file at all; get it anew.", "file") from error
    try:
        _check(file, path, size, limits)
    except BaseException:
        file.close()
        raise
    return file


def _check(file: zipfile.ZipFile, path: Path, size: int, limits: Limits) -> None:
    parts = file.infolist()
    unpacked = sum(part.file_size for part in parts)
    if len(parts) > limits.parts:
        raise BadInput(f"{path.name} has {len(parts)} parts and {limits.parts} is the most; it is not read.", "file")
    if len({part.filename for part in parts}) < len(parts):
        raise BadInput(f"{path.name} holds two parts of the same name; it is not read.", "file")
    if any(part.compress_type not in _READ for part in parts):
        raise BadInput(f"{path.name} is packed in a way no sheet or archive is; save it anew.", "file")
    if any(part.flag_bits & 1 for part in parts):
        raise BadInput(f"{path.name} is locked by a password; save it without one.", "file")
    if unpacked > limits.unpacked or unpacked > limits.ratio * max(size, 10_000):
        raise BadInput(
            f"{path.name} would unpack to {unpacked // 1_000_000:,} MB, more than such a file needs; it is not read. "
            "Leave out pictures and empty formatting, or save the sheet as CSV.",
            "file",
            {"unpacked": unpacked},
        )


def content(file: zipfile.ZipFile, name: str) -> bytes:
    """One part, no more of it than its entry says.

    Raises:
        BadInput: it is not there, or damaged.
    """
    try:
        declared = file.getinfo(name).file_size
        with file.open(name) as part:
            found = io.BytesIO()
            while chunk := part.read(_CHUNK):
                found.write(chunk)
                if found.tell() > declared:
                    raise BadInput(f"The part {name} holds more than it says; the file is not read.", "file")
    except KeyError:
        raise BadInput(f"The part {name} is missing; get the file anew.", "file") from None
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError) as error:
        raise BadInput(f"The part {name} is damaged; get the file anew.", "file") from error
    if found.tell() != declared:
        raise BadInput(f"The part {name} is shorter than it says; get the file anew.", "file")
    return found.getvalue()


def refuse_document_types(file: zipfile.ZipFile) -> None:
    """Refuse XML that brings a document type of its own.

    Raises:
        BadInput: a part does.
    """
    for part in file.infolist():
        if part.filename.endswith((".xml", ".rels", ".vml")):
            start = content(file, part.filename)[:4096] if part.file_size < 4096 else _start(file, part.filename)
            # UTF-16 puts a nought between the letters.
            if b"<!DOCTYPE" in start.replace(b"\0", b"") or b"<!ENTITY" in start.replace(b"\0", b""):
                name = Path(file.filename or "").name
                raise BadInput(
                    f"{name} holds XML with a document type, as no sheet does; it is not read. "
                    "Save it anew in a spreadsheet program, or as CSV.",
                    "file",
                )


def _start(file: zipfile.ZipFile, name: str) -> bytes:
    try:
        with file.open(name) as part:
            return part.read(4096)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError) as error:
        raise BadInput(f"The part {name} is damaged; get the file anew.", "file") from error
