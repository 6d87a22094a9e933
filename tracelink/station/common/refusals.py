"""How every station refuses what is on hold."""

from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import HoldNotice


def refuse_held(notice: HoldNotice | None, name: str, code: str, then: str = "Put it aside.") -> None:
    """Refuse a thing on hold, naming the hold and, if another thing is what is held, that one.

    Args:
        notice: the hold, None if there is none.
        name: the thing as the floor calls it, with its code.
        code: its code.
        then: what to do with it now.
    """
    if notice is None:
        return
    because = "" if notice.subject == code else f" ({notice.subject})"
    raise Refused(
        "on-hold", f"{name} is on hold {notice.hold}{because}: {notice.reason}. {then}", subject=code
    )
