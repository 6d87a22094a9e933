"""Sleeve batches, sleeve numbers, printed labels and reason cards as stations see them; a part of `SqlStationQueries`."""

from collections.abc import Callable

from sqlalchemy import text

from tracelink.errors import InvalidFormat
from tracelink.identity.gs1.sscc import Sscc
from tracelink.ledger.closed_sets import NumberState, PrintStatus, ReasonAct
from tracelink.station.common import station_facts
from tracelink.store.stations.asking import Asking

_BATCH = text(
    "SELECT code, gtin, status, first_number, last_number, (SELECT COUNT(*) FROM issued_number i "
    "WHERE i.batch = sleeve_batch.code) AS issued FROM sleeve_batch WHERE code = :code"
)
_ISSUED_NUMBER = text(
    "SELECT 1 FROM issued_number WHERE gtin = :gtin AND number = :number AND batch = :batch"
)
_VOID = text("SELECT seq, replaced_by FROM void_label WHERE subject = :subject")
_RETURNED = text(
    "SELECT seq FROM sscc_return WHERE extension = :extension AND first_serial <= :serial AND last_serial >= :serial"
)
_NUMBER = text(
    "SELECT s.carton, (SELECT f.fate FROM number_fate f WHERE f.gtin = s.gtin AND f.number = s.number "
    "ORDER BY f.seq DESC LIMIT 1) AS fate FROM numbered_sleeve s WHERE s.gtin = :gtin AND s.number = :number"
)
_NUMBER_SPOOLED = text(
    "SELECT p.carton, NULL AS fate FROM spool p JOIN carton c ON c.sscc = p.carton "
    "WHERE p.sleeve_number = :number AND c.gtin = :gtin"
)
_NUMBER_LOST = text("SELECT carton FROM lost_number WHERE gtin = :gtin AND number = :number")
_BLOCK = text(
    "SELECT what FROM sscc_block WHERE extension = :extension AND first_serial <= :serial AND last_serial >= :serial"
)

_REASONS = text(
    "SELECT r.code, r.text FROM reason r JOIN reason_act a ON a.reason = r.code "
    "WHERE r.area = :area AND a.act = :act ORDER BY r.code"
)
_REASON = text("SELECT code, text FROM reason WHERE code = :code")


class LabelAnswers(Asking):
    """Answers on sleeves and labels: of what batch, used or void, issued for what; inside one transaction."""

    _company_prefix: Callable[[], str]
    product: Callable[[str], station_facts.Product | None]
    superseded_since: Callable[[str], str | None]

    def sleeve_batch(self, code: str) -> station_facts.SleeveBatch | None:
        """A sleeve batch."""
        row = self._first(_BATCH, code=code)
        if row is None:
            return None
        product = self.product(row.gtin)
        assert product is not None
        superseded = row.status == PrintStatus.SUPERSEDED or self.superseded_since(code) is not None
        numbers = (row.first_number, row.last_number)
        return station_facts.SleeveBatch(row.code, product, superseded, *numbers, issued=row.issued)

    def reason_cards(self, act: ReasonAct) -> list[station_facts.ReasonCard]:
        """The plant's reasons for an act, by code."""
        rows = self._all(_REASONS, area=act.area, act=act.word)
        return [station_facts.ReasonCard(row.code, row.text) for row in rows]

    def reason_card(self, code: str) -> station_facts.ReasonCard | None:
        """A reason of the plant, for whatever acts."""
        row = self._first(_REASON, code=code)
        return None if row is None else station_facts.ReasonCard(row.code, row.text)

    def is_number_of(self, batch: station_facts.SleeveBatch, number: str) -> bool:
        """Return whether a sleeve of this batch carries this number."""
        if batch.first_number is not None and batch.last_number is not None:
            # "007" is another code than "7" and not what was printed.
            plain = number.isascii() and number.isdigit() and str(int(number)) == number
            return plain and batch.first_number <= int(number) <= batch.last_number
        values = {"gtin": batch.product.gtin, "number": number, "batch": batch.code}
        return self._first(_ISSUED_NUMBER, **values) is not None

    def void_label(self, subject: str) -> str | None:
        """Why a label (an SSCC, or a numbered sleeve by its elements) is void; None if it is not."""
        row = self._first(_VOID, subject=subject)
        if row is not None:
            return f"entry {row.seq}" + (f", replaced by {row.replaced_by}" if row.replaced_by else "")
        if not subject.isdigit():
            return None
        found = self._first(_RETURNED, extension=subject[0], serial=self._serial(subject))
        return None if found is None else f"it came back unused, entry {found.seq}"

    def _serial(self, sscc: str) -> int:
        return Sscc.parse(sscc).serial_reference(len(self._company_prefix()))

    def number_use(self, gtin: str, number: str) -> station_facts.NumberUse | None:
        """Whether and where a sleeve number was used, spooled scans included."""
        for query in (_NUMBER, _NUMBER_SPOOLED):
            row = self._first(query, gtin=gtin, number=number)
            if row is not None:
                return station_facts.NumberUse(row.carton, row.fate == NumberState.DESTROYED)
        lost = self._first(_NUMBER_LOST, gtin=gtin, number=number)
        return None if lost is None else station_facts.NumberUse(lost.carton, lost=True)

    def sscc_issued_for(self, sscc: str) -> str | None:
        """What the label was issued for: carton, pallet, or None if never issued here."""
        prefix = self._company_prefix()
        if sscc[1 : 1 + len(prefix)] != prefix:
            return None
        try:
            serial = Sscc.parse(sscc).serial_reference(len(prefix))
        except InvalidFormat:
            return None
        row = self._first(_BLOCK, extension=sscc[0], serial=serial)
        return None if row is None else str(row.what)
