"""What carries bytes between programs and a database server, and breaks when it is told to."""

import contextlib
import socket
import threading


def hang_up(*ends):
    """End connections, whoever reads from or writes to them."""
    for one in ends:
        with contextlib.suppress(OSError):
            one.shutdown(socket.SHUT_RDWR)


class BreakingCable:
    """Breaks at the n-th message that a program sends."""

    def __init__(self, host, port):
        self._server = (host, port)
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = self._listening.getsockname()[1]
        self._lock = threading.Lock()
        self._left = 0
        self._arrives = self._whole = False
        self._sockets = [self._listening]
        self._threads = []
        self._start(self._accept)

    def breaks(self, number, *, arrives, whole):
        """Break at a message to come.

        Args:
            number: of the message, from 1, counted over all connections.
            arrives: whether it still reaches the server, whose answer is lost then.
            whole: whether all connections break, not the one alone.
        """
        with self._lock:
            self._left, self._arrives, self._whole = number, arrives, whole

    @property
    def is_set(self):
        """True until it broke."""
        return self._left > 0

    def _start(self, run, *given):
        self._threads.append(threading.Thread(target=run, args=given, daemon=True))
        self._threads[-1].start()

    def _accept(self):
        while True:
            try:
                near, _address = self._listening.accept()
            except OSError:
                return
            far = socket.create_connection(self._server)
            self._sockets += [near, far]
            is_cut = threading.Event()
            self._start(self._there, near, far, is_cut)
            self._start(self._back, near, far, is_cut)

    def _is_now(self):
        with self._lock:
            if not self._left:
                return False
            self._left -= 1
            return self._left == 0

    def _there(self, near, far, is_cut):
        with contextlib.suppress(OSError):
            while data := near.recv(65536):
                if self._is_now():
                    is_cut.set()
                    if self._arrives:
                        far.sendall(data)
                    break
                far.sendall(data)
        if is_cut.is_set() and self._whole:
            hang_up(*self._sockets[1:])
        if is_cut.is_set() and self._arrives:
            # The server carries out what came; who asked is gone.
            with contextlib.suppress(OSError):
                far.shutdown(socket.SHUT_WR)
            hang_up(near)
            return
        hang_up(near, far)

    @staticmethod
    def _back(near, far, is_cut):
        with contextlib.suppress(OSError):
            while data := far.recv(65536):
                if is_cut.is_set():
                    break
                near.sendall(data)
        hang_up(near, far)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        hang_up(*self._sockets)
        for one in self._threads:
            one.join(10)
        for one in self._sockets:
            one.close()
