"""A PostgreSQL server of its own for a test: on loopback, on a free port, in a temporary folder, run by somebody without rights."""

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NOBODY = "postgres"
PASSWORD = "harbour-2020"


def binaries() -> Path | None:
    """Folder of the server's programs, of the newest version there is; None where it is not installed."""
    found = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    on_path = shutil.which("initdb")
    return max(found, key=lambda path: int(path.parent.name), default=Path(on_path).parent if on_path else None)


def _as_nobody(*command: str | Path) -> list[str]:
    words = [str(word) for word in command]
    return ["runuser", "-u", NOBODY, "--", *words] if os.geteuid() == 0 else words


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


@contextmanager
def running_server() -> Iterator[int]:
    """The port of a server that runs until the end of the block; its user is `fleet`, its password PASSWORD."""
    programs = binaries()
    assert programs is not None
    folder = Path(tempfile.mkdtemp(prefix="server-"))
    port, word = free_port(), folder / "word"
    word.write_text(PASSWORD + "\n", encoding="utf-8")
    if os.geteuid() == 0:
        shutil.chown(folder, NOBODY)
        shutil.chown(word, NOBODY)
    data, options = folder / "data", f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
    quiet = {"check": True, "stdout": subprocess.DEVNULL, "timeout": 120, "cwd": folder}
    try:
        made = ("-D", data, "-U", "fleet", "-A", "scram-sha-256", f"--pwfile={word}", "-E", "UTF8", "--no-locale")
        subprocess.run(_as_nobody(programs / "initdb", *made), **quiet)
        subprocess.run(_as_nobody(programs / "pg_ctl", "-D", data, "-l", folder / "log", "-w", "-o", options, "start"), **quiet)
        yield port
    finally:
        subprocess.run(_as_nobody(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop"), stdout=subprocess.DEVNULL, timeout=60, cwd=folder, check=False)
        shutil.rmtree(folder, ignore_errors=True)
