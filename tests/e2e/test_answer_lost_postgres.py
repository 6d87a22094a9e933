"""The connection to a database server breaks around COMMIT: before it arrives, or before its answer comes back."""

import contextlib
import socket
import threading

import pytest
from sqlalchemy import make_url
from support_plant import TOOL, raw

from runout import open_ledger
from tracelink.errors import BookingUnknown, StorageFailed


class Cable:
    """Carries bytes between programs and a server, and can be cut at the next COMMIT that ends a scan."""

    def __init__(self, host, port):
        self._server = (host, port)
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = self._listening.getsockname()[1]
        self.cut_at_commit = None
        """Whether the COMMIT still arrives; None if nothing is cut."""
        self.is_down = False
        self._sockets = [self._listening]
        self._threads = []
        self._start(self._accept)

    def _start(self, run, *given):
        self._threads.append(threading.Thread(target=run, args=given))
        self._threads[-1].start()

    def _accept(self):
        while True:
            try:
                near, _address = self._listening.accept()
            except OSError:
                return
            self._sockets.append(near)
            if self.is_down:
                _hang_up(near)
                continue
            far = socket.create_connection(self._server)
            self._sockets.append(far)
            is_cut = threading.Event()
            self._start(self._there, near, far, is_cut)
            self._start(self._back, near, far, is_cut)

    def _there(self, near, far, is_cut):
        wrote = False
        with contextlib.suppress(OSError):
            while data := near.recv(65536):
                wrote |= b"UPDATE station" in data
                if wrote and self.cut_at_commit is not None and b"COMMIT\0" in data:
                    arrives, self.cut_at_commit = self.cut_at_commit, None
                    is_cut.set()
                    if arrives:
                        far.sendall(data)
                        return
                    break
                far.sendall(data)
        _hang_up(near, far)

    @staticmethod
    def _back(near, far, is_cut):
        with contextlib.suppress(OSError):
            while data := far.recv(65536):
                if is_cut.is_set():
                    break
                near.sendall(data)
        _hang_up(near, far)

    def close(self):
        _hang_up(*self._sockets)
        for one in self._threads:
            one.join()
        for one in self._sockets:
            one.close()


def _hang_up(*ends):
    for one in ends:
        with contextlib.suppress(OSError):
            one.shutdown(socket.SHUT_RDWR)


@pytest.fixture
def cable(pg_plant):
    url = make_url(pg_plant.ledger.place)
    made = Cable(url.host, url.port)
    made.place = url.set(port=made.port).render_as_string(hide_password=False)
    yield made
    made.close()


def test_a_scan_that_was_committed_has_its_verdict(cable):
    with open_ledger(cable.place) as ledger, ledger.stations.live(TOOL) as here:
        here.scan(raw("P1"))
        cable.cut_at_commit = True
        assert here.scan(raw("LACQUER")).sentence == "Scan the new tool tag."
        assert cable.cut_at_commit is None, "the answer was lost"
        assert here.scan(raw("T1")).finding is None


def test_a_scan_whose_commit_never_arrived_is_not_booked(cable):
    with open_ledger(cable.place) as ledger, ledger.stations.live(TOOL) as here:
        here.scan(raw("P1"))
        head = ledger.head
        cable.cut_at_commit = False
        with pytest.raises(StorageFailed, match="nothing was booked") as refused:
            here.scan(raw("LACQUER"))
        assert not isinstance(refused.value, BookingUnknown)
        assert ledger.head == head
        assert here.scan(raw("LACQUER")).sentence == "Scan the new tool tag."


@pytest.mark.parametrize("arrives", [True, False])
def test_while_the_server_is_away_nobody_knows_and_the_next_scan_says_which_it_was(cable, arrives):
    with open_ledger(cable.place) as ledger, ledger.stations.live(TOOL) as here:
        here.scan(raw("P1"))
        cable.cut_at_commit, cable.is_down = arrives, True
        with pytest.raises(BookingUnknown, match="it is not known whether this was booked"):
            here.scan(raw("LACQUER"))
        with pytest.raises(StorageFailed):
            here.scan(raw("T1"))
        cable.is_down = False
        said = "The scan before was booked." if arrives else "The scan before was not booked,"
        assert here.scan(raw("T1")).sentence.startswith(said)
        assert here.scan(raw("T1" if arrives else "LACQUER")).finding is None
