"""What a carton holds after counts, and quality closing what they opened."""

from support_plant import n

from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now
from tracelink.store.office import investigations


def close(floor):
    """Quality closes what is open."""
    for (number,) in floor.read("investigation", "seq", closed_seq=None):
        with floor.ledger.writing() as booking:
            stamp = Stamp(floor.at, utc_now(), person=n("P2"))
            investigations.close_one(booking, stamp, number, "found behind the press")


def units(floor, carton="carton 1"):
    return floor.read("carton", "units", sscc=n(carton))[0][0]


def stock(floor, lot="L1"):
    return {place: discs for place, discs in floor.read("stock", "place", "quantity", lot=n(lot)) if discs}
