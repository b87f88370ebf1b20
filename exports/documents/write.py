"""Writes a document into a folder, as PDF or as text: a new file each time, readable by its owner alone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from exports.documents import fonts
from exports.documents.as_pdf import as_pdf
from exports.documents.as_text import as_text
from exports.documents.paper import Document, texts_of
from exports.files import write_revision

Form = Literal["pdf", "text"]


@dataclass(frozen=True, slots=True)
class Written:
    """A document in its file."""

    path: Path
    cautions: tuple[str, ...]
    """What the keeper should know before handing it on."""


def write(document: Document, folder: Path, form: Form = "pdf") -> Written:
    """Write a document as the next revision of its name.

    Raises:
        BadInput, DiskFull, DiskFault: it cannot be written there; nothing is left behind.
    """
    if form == "text":
        content = as_text(document).encode("utf-8")
        return Written(write_revision(folder, document.stem, ".txt", lambda _: content), document.cautions)
    pdf = as_pdf(document)
    path = write_revision(folder, document.stem, ".pdf", lambda _: pdf)
    return Written(path, (*document.cautions, *fonts.cautions(texts_of(document))))
