"""A PostgreSQL server of its own, that can be stopped, killed and started again, and is thrown away afterwards."""

import os
import shutil
import signal
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

MISSING = "PostgreSQL server is not installed (Debian: postgresql)"


def programs() -> Path | None:
    """Return the folder with the newest server's programs; None if none is installed."""
    found = [
        *Path("/usr/lib/postgresql").glob("*/bin/initdb"),
        *map(Path, filter(None, [shutil.which("initdb")])),
    ]
    return max(found, key=lambda each: (len(str(each)), str(each))).resolve().parent if found else None


class Server:
    """One server with its data in a folder under the temporary one."""

    def __init__(self, *settings: str, sync: bool = False, below: str | None = None) -> None:
        """Make the data folder; `start` runs it.

        Args:
            settings: NAME=VALUE, as in the server's own file of settings.
            sync: wait for the disk at each commit. What is tried is the program, not the disk, so not by default.
            below: the folder that its own is made in; the temporary one by default.
        """
        bin_folder = programs()
        assert bin_folder is not None, MISSING
        self._programs = bin_folder
        self.folder = tempfile.mkdtemp(prefix="pg", dir=below)
        self._as_user: list[str] = []
        if os.geteuid() == 0:
            # The server refuses to run as root.
            shutil.chown(self.folder, "postgres", "postgres")
            self._as_user = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"]
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        given = ("listen_addresses=127.0.0.1", f"fsync={'on' if sync else 'off'}", *settings)
        self._options = " ".join([f"-p {self.port} -k {self.folder}", *(f"-c {each}" for each in given)])
        # What a program may write is told apart by the rights of its user, so nobody needs a password here.
        locale = ("-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
        self._run("initdb", "-D", f"{self.folder}/data", "-U", "app", "-A", "trust", *locale)

    @property
    def url(self) -> str:
        """URL without a database name."""
        return f"postgresql+psycopg://app@127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self._control("start", "-l", f"{self.folder}/log", "-o", self._options)

    def stop(self, how: str = "fast") -> None:
        """Stop it: `fast` ends all connections, `immediate` leaves the rest to recovery, as a power cut does."""
        self._control("stop", "-m", how)

    def kill(self) -> None:
        """Kill all its processes with SIGKILL, as when the machine goes down."""
        named = Path(self.folder, "data", "postmaster.pid")
        first = int(named.read_text().split()[0])
        children = Path(f"/proc/{first}/task/{first}/children").read_text().split()
        # The first one first: it would take the death of another for a reason to recover.
        for process in (first, *map(int, children)):
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        # After a machine came back nobody has that number; here it may stay with the dead process for a while.
        named.unlink()
        Path(self.folder, f".s.PGSQL.{self.port}.lock").unlink()

    def remove(self) -> None:
        """Stop it and remove all its data."""
        with suppress(subprocess.CalledProcessError):
            # Which says that it is down already.
            self.stop("immediate")
        shutil.rmtree(self.folder, ignore_errors=True)

    def database(self, template: str | None = None) -> str:
        """Return the URL of a new database, empty or a copy of the one whose URL is given."""
        import psycopg  # noqa: PLC0415  an extra

        name = f"t_{uuid.uuid4().hex}"
        of = f" TEMPLATE {template.rpartition('/')[2]}" if template else ""
        with psycopg.connect(self.url.replace("+psycopg", "") + "/postgres", autocommit=True) as conn:
            # Files are copied without a word in the log, in half the time.
            conn.execute(f"CREATE DATABASE {name}{of} STRATEGY FILE_COPY")
        return f"{self.url}/{name}"

    def move(self, place: str, folder: Path) -> None:
        """Let a database lie in another folder, which is empty and the server's own."""
        import psycopg  # noqa: PLC0415  an extra

        name = place.rpartition("/")[2]
        with psycopg.connect(self.url.replace("+psycopg", "") + "/postgres", autocommit=True) as conn:
            conn.execute(f"CREATE TABLESPACE of_{name} LOCATION '{folder}'")
            conn.execute(f"ALTER DATABASE {name} SET TABLESPACE of_{name}")

    def move_log(self, folder: Path) -> None:
        """Let its log of transactions lie in another folder, which is empty and the server's own; it is started again."""
        log = Path(self.folder, "data", "pg_wal")
        self.stop()
        # Links and rights stay those of the server's user.
        self._run_system("cp", "-a", f"{log}/.", str(folder))
        shutil.rmtree(log)
        log.symlink_to(folder)
        self.start()

    @property
    def is_up(self) -> bool:
        """True while its first process runs."""
        status = [*self._as_user, str(self._programs / "pg_ctl"), "-D", f"{self.folder}/data", "status"]
        return not subprocess.run(
            status, check=False, cwd=self.folder, stdout=subprocess.DEVNULL, timeout=120
        ).returncode

    def _run_system(self, *command: str) -> None:
        subprocess.run([*self._as_user, *command], check=True, cwd=self.folder, timeout=120)

    def _control(self, *words: str) -> None:
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-w", "-t", "60", *words)

    def _run(self, program: str, *words: str) -> None:
        command = [*self._as_user, str(self._programs / program), *words]
        subprocess.run(command, check=True, cwd=self.folder, stdout=subprocess.DEVNULL, timeout=120)


@contextmanager
def server(*settings: str, sync: bool = False) -> Iterator[Server]:
    """Run a server for the length of a block."""
    made = Server(*settings, sync=sync)
    try:
        made.start()
        yield made
    finally:
        made.remove()
