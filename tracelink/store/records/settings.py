"""Settings of the plant with where their values come from."""

from datetime import timedelta

from sqlalchemy import Connection, text

from tracelink.clock import utc_now
from tracelink.ledger.closed_sets import PlantField
from tracelink.ledger.kinds.setup import Setting
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS
from tracelink.ledger.recording_times import ClockLimits
from tracelink.ledger.time_words import moment
from tracelink.store.records.plant_versions import held_at, versions

_SETTING = text("SELECT value, source FROM setting WHERE name = :name")
_DEFAULTS = {setting.name: setting for setting in DEFAULT_SETTINGS}


def setting_with_source(conn: Connection, name: str) -> Setting:
    """Return a setting; a ledger made before it was thought of goes by its default.

    Args:
        conn: a connection.
        name: one of `DEFAULT_SETTINGS`.
    """
    changed = held_at(versions(conn, name), PlantField.SETTING, utc_now())
    if changed is not None:
        return Setting(name, int(changed.value), f"plant file, from {moment(changed.since)} on")
    row = conn.execute(_SETTING, {"name": name}).first()
    return _DEFAULTS[name] if row is None else Setting(name, row.value, row.source)


def clock_limits(conn: Connection) -> ClockLimits:
    """Return how far recording times may run back or jump before it is told."""
    back, ahead = (
        setting_with_source(conn, name).value for name in ("clock_back_minutes", "clock_ahead_days")
    )
    return ClockLimits(timedelta(minutes=back), timedelta(days=ahead))
