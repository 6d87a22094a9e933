"""Settings of the plant with where their values come from."""

from sqlalchemy import Connection, text

from tracelink.ledger.kinds.setup import Setting
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS

_SETTING = text("SELECT value, source FROM setting WHERE name = :name")
_DEFAULTS = {setting.name: setting for setting in DEFAULT_SETTINGS}


def setting_with_source(conn: Connection, name: str) -> Setting:
    """Return a setting; a ledger made before it was thought of goes by its default.

    Args:
        conn: a connection.
        name: one of `DEFAULT_SETTINGS`.
    """
    row = conn.execute(_SETTING, {"name": name}).first()
    return _DEFAULTS[name] if row is None else Setting(name, row.value, row.source)
