"""A server that can be killed and started again in a moment: a program that has imported everything forks for each start.

Run as a program it takes the ledger's place; for each line on its input it forks a server on any free port and prints its
process and port.
"""

import contextlib
import os
import signal
import subprocess
import sys
from pathlib import Path


def main() -> None:
    import uvicorn  # noqa: PLC0415  once, before the forks

    from tracelink.web.app import make_app  # noqa: PLC0415

    # Children that were killed are nobody's to wait for.
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    for _line in sys.stdin:
        config = uvicorn.Config(make_app(sys.argv[1], str), port=0, log_level="error")
        listening = config.bind_socket()
        child = os.fork()
        if child == 0:
            uvicorn.Server(config).run(sockets=[listening])
            os._exit(0)
        print(child, listening.getsockname()[1], flush=True)
        listening.close()


class KilledServer:
    """Starts the server of a ledger, and kills it."""

    def __init__(self, place):
        root = Path(__file__).resolve().parents[1]
        paths = os.pathsep.join([str(root), str(root / "tracelink" / "public")])
        self._program = subprocess.Popen(
            [sys.executable, __file__, str(place)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": paths},
        )
        self._child = 0
        self.port = 0

    def start(self):
        self._program.stdin.write("\n")
        self._program.stdin.flush()
        self._child, self.port = map(int, self._program.stdout.readline().split())

    def kill(self):
        with contextlib.suppress(ProcessLookupError):
            os.kill(self._child, signal.SIGKILL)

    def __enter__(self):
        return self

    def __exit__(self, *_problem):
        self.kill()
        self._program.stdin.close()
        self._program.wait(timeout=30)
        self._program.stdout.close()


if __name__ == "__main__":
    main()
