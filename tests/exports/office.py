"""Recalculating a workbook with LibreOffice, for tests; and changing one cell of one behind its back."""

from __future__ import annotations

import atexit
import os
import re
import shutil
import subprocess
import tempfile
import zipfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

FORCED = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>
"""
"""Without this setting LibreOffice trusts the values stored in a file, and recalculating proves nothing."""


def need_office() -> None:
    """Skip the test where there is no LibreOffice; fail where there must be one."""
    if shutil.which("soffice") is None:
        if os.environ.get("REARLEDGER_NEEDS_LIBREOFFICE") == "1":
            pytest.fail("soffice is not installed, and REARLEDGER_NEEDS_LIBREOFFICE=1 says it must be", pytrace=False)
        pytest.skip("soffice is not installed: workbooks cannot be recalculated here")


def recalculated(folder: Path, *files: Path, forced: bool = True) -> list[Path]:
    """The files as LibreOffice saves them after opening them; one start for all of them."""
    out = folder / f"out-{'forced' if forced else 'default'}"
    _convert(folder, "xlsx:Calc MS Excel 2007 XML", out, *files, forced=forced)
    return [out / file.name for file in files]


def printed(folder: Path, file: Path) -> Path:
    """The workbook as it is printed, in PDF."""
    _convert(folder, "pdf", folder / "printed", file, forced=True)
    return folder / "printed" / f"{file.stem}.pdf"


@cache
def _profile(forced: bool) -> Path:
    """A profile for all starts of this process: a new one takes LibreOffice longer than the work."""
    folder = Path(tempfile.mkdtemp(prefix="office-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    (folder / "user").mkdir()
    if forced:
        (folder / "user" / "registrymodifications.xcu").write_text(FORCED)
    return folder


def _convert(folder: Path, form: str, out: Path, *files: Path, forced: bool) -> None:
    profile = _profile(forced)
    subprocess.run(
        [
            "soffice",
            "--headless",
            "--norestore",
            f"-env:UserInstallation=file://{profile}",
            "--convert-to",
            form,
            "--outdir",
            str(out),
            *map(str, files),
        ],
        check=True,
        capture_output=True,
        timeout=300,
    )


def with_cells(source: Path, target: Path, sheet: int, values: Mapping[str, float]) -> Path:
    """A copy of a workbook with numbers put into cells of one sheet (counted from 1), and nothing else changed."""
    part = f"xl/worksheets/sheet{sheet}.xml"
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            content = old.read(item.filename)
            if item.filename == part:
                text = content.decode()
                for cell, value in values.items():
                    text, done = re.subn(rf'(<c r="{cell}"[^>]*>)<v>[^<]*</v>', rf"\g<1><v>{value}</v>", text)
                    assert done == 1, f"there is no number in {cell} of {part}"
                content = text.encode()
            new.writestr(item, content)
    return target
