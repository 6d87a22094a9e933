"""How files of instruments are to be read, and which were read."""

from sqlalchemy import Connection, text

from tracelink.facts.lab.instrument_reading import InstrumentForm, ValueColumn

_FORM = text(
    "SELECT name, decimal_sign, separator, sample_heading, side_heading, gauge, gauge_heading, time_heading, time_form FROM instrument WHERE name = :name"
)
_COLUMNS = text(
    "SELECT heading, test, unit, unit_heading FROM instrument_column WHERE instrument = :name ORDER BY line"
)
_NAMES = text("SELECT name FROM instrument ORDER BY name")
_READ = text("SELECT seq, file FROM instrument_file WHERE sha256 = :sha256")
_SIGNS = {"point": ".", "comma": ","}


def instrument_form(conn: Connection, name: str) -> InstrumentForm | None:
    """Return how the files of an instrument are read; None if the plant file names none of that name."""
    row = conn.execute(_FORM, {"name": name}).first()
    if row is None:
        return None
    columns = tuple(ValueColumn(*each) for each in conn.execute(_COLUMNS, {"name": name}))
    return InstrumentForm(
        row.name,
        _SIGNS[row.decimal_sign],
        row.separator,
        row.sample_heading,
        row.side_heading,
        row.gauge,
        row.gauge_heading,
        columns,
        row.time_heading,
        row.time_form,
    )


def instruments(conn: Connection) -> list[str]:
    """Return the names of all instruments whose files can be read."""
    return [str(name) for name in conn.execute(_NAMES).scalars()]


def read_before(conn: Connection, sha256: str) -> tuple[int, str] | None:
    """Return the entry by which a file of these bytes was read, and what it was called then; None if it was not."""
    row = conn.execute(_READ, {"sha256": sha256}).first()
    return None if row is None else (row.seq, row.file)
