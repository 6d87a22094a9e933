"""Finding things by whatever is known of them: a code or its end, a title, a matrix text, a customer, a day.

Each rule asks one table for the things of one kind. Codes and matrix texts are compared without blanks and hyphens,
because people write them down as they come. Every kind gives a few of its things and says how many it has.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, text

FEWEST_CHARACTERS = 2
"""Of a search; with fewer nearly everything would be found."""


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing that was found."""

    kind: str
    """What it is, such as stamper, lot, carton or consignee."""
    code: str
    """Its code; for a consignee, defect or person's name the name itself."""
    text: str
    """Title, matrix text, name or reason: what a person knows it by."""
    detail: str
    """Its state, or where it belongs."""
    entry: int | None
    """The entry that brought it into the records; None for a name that many entries hold."""


@dataclass(frozen=True, slots=True)
class HitsOfKind:
    """The things of one kind."""

    hits: tuple[Hit, ...]
    """The first of them."""
    total: int
    """Number of all that were found."""


@dataclass(frozen=True, slots=True)
class _Rule:
    query: str
    """What is selected as kind, code, text, detail and entry, from where; asked with parameters of `SearchTerms`."""
    needs: str
    """The parameter without which the rule says nothing."""


def _packed(column: str) -> str:
    return f"REPLACE(REPLACE(UPPER({column}), ' ', ''), '-', '')"


def _number_of(count: str, noun: str) -> str:
    return f"{count} || CASE {count} WHEN 1 THEN ' {noun}' ELSE ' {noun}s' END"


def _has(column: str) -> str:
    return f"LOWER({column}) LIKE :plain ESCAPE '!'"


def _has_packed(column: str) -> str:
    return f"{_packed(column)} LIKE :packed ESCAPE '!'"


_IN_A_CHANGE = "EXISTS (SELECT 1 FROM plant_change v WHERE v.subject = {gtin} AND v.field IN ('title', 'catalogue number') AND {has})"
_RENAMED = _IN_A_CHANGE.replace("{has}", _has("v.value"))
"""A product is found by every title and number that it ever had."""
_OF_PRODUCT = (
    f"({{gtin}} LIKE :packed ESCAPE '!' OR EXISTS (SELECT 1 FROM product p WHERE p.gtin = {{gtin}} "  # noqa: S608  our own text
    f"AND ({_has('p.title')} OR {_has_packed('p.catalogue_number')})) OR {_RENAMED})"
)
"""What is made of a product is found by whatever finds the product."""
_PRODUCT_OF = "(SELECT p.title FROM product p WHERE p.gtin = {gtin})"
_RULES = (
    _Rule(
        "'product' AS kind, gtin AS code, title AS text, catalogue_number AS detail, seq AS entry FROM product "
        f"WHERE {_has('title')} OR {_has_packed('catalogue_number')} OR gtin LIKE :packed ESCAPE '!' "
        f"OR {_RENAMED.format(gtin='product.gtin')} ORDER BY gtin",
        "plain",
    ),
    _Rule(
        "what AS kind, code, matrix AS text, 'side ' || side || ', ' || status AS detail, seq AS entry FROM tool "
        f"WHERE {_has_packed('code')} OR {_has_packed('matrix')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        f"'lot' AS kind, l.code, {_PRODUCT_OF.format(gtin='l.gtin')} AS text, "
        "l.status || ', ' || l.decision AS detail, l.seq AS entry FROM lot l "
        f"WHERE {_has_packed('l.code')} OR {_OF_PRODUCT.format(gtin='l.gtin')} ORDER BY l.seq",
        "packed",
    ),
    _Rule(
        "what AS kind, code, detail AS text, COALESCE(gtin, '') AS detail, seq AS entry FROM material "
        f"WHERE {_has_packed('code')} OR {_has('detail')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        f"'sleeve batch' AS kind, b.code, {_PRODUCT_OF.format(gtin='b.gtin')} AS text, b.status AS detail, "
        "b.seq AS entry FROM sleeve_batch b "
        f"WHERE {_has_packed('b.code')} OR {_OF_PRODUCT.format(gtin='b.gtin')} ORDER BY b.seq",
        "packed",
    ),
    _Rule(
        "'equipment' AS kind, code, name AS text, process AS detail, seq AS entry FROM equipment "
        f"WHERE {_has_packed('code')} OR {_has('name')} OR {_has('process')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        "'process step' AS kind, s.code, s.process || ' in ' || e.name AS text, s.status AS detail, s.seq AS entry "
        f"FROM step s JOIN equipment e ON e.code = s.equipment WHERE {_has_packed('s.code')} ORDER BY s.seq",
        "packed",
    ),
    _Rule(
        "'blank' AS kind, tool AS code, blank || ' for ' || matrix AS text, COALESCE(fault, 'good') AS detail, "
        f"seq AS entry FROM blank WHERE {_has_packed('tool')} OR {_has_packed('blank')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        f"'part' AS kind, number AS code, what AS text, '' AS detail, seq AS entry FROM part_kind WHERE {_has_packed('number')} OR {_has('what')} ORDER BY number",
        "packed",
    ),
    _Rule(
        "'part lot' AS kind, code, part || ' ' || revision || ', supplier lot ' || supplier_lot AS text, status AS detail, "
        f"seq AS entry FROM part_lot WHERE {_has_packed('code')} OR {_has_packed('part')} OR {_has_packed('supplier_lot')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        f"'reel' AS kind, code, part || ' ' || revision AS text, used || ' of ' || holds || ' used' AS detail, seq AS entry FROM reel WHERE {_has_packed('code')} OR {_has_packed('part')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        f"'build order' AS kind, code, part || ' ' || version AS text, {_number_of('quantity', 'piece')} AS detail, seq AS entry FROM build WHERE {_has_packed('code')} OR {_has_packed('part')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        "'spindle' AS kind, code, 'lot ' || lot AS text, at AS detail, seq AS entry FROM spindle "
        f"WHERE {_has_packed('code')} ORDER BY seq",
        "packed",
    ),
    _Rule(
        "'sample' AS kind, s.code, COALESCE('disc ' || s.stroke, 'disc of unknown stroke') || ' of lot ' || s.lot AS text, "
        "CASE WHEN j.good IS NULL THEN 'not judged' WHEN j.good = 1 THEN 'good' ELSE 'bad, ' || j.defect END AS detail, "
        "s.seq AS entry FROM sample s LEFT JOIN judgement j ON j.sample = s.code AND j.corrected_by IS NULL "
        f"WHERE {_has_packed('s.code')} ORDER BY s.seq",
        "packed",
    ),
    _Rule(
        f"'defect' AS kind, defect AS code, {_number_of('COUNT(*)', 'disc')} || ' judged bad' AS text, '' AS detail, "
        f"NULL AS entry FROM judgement WHERE corrected_by IS NULL AND defect IS NOT NULL AND {_has('defect')} "
        "GROUP BY defect ORDER BY defect",
        "plain",
    ),
    _Rule(
        f"'carton' AS kind, c.sscc AS code, {_PRODUCT_OF.format(gtin='c.gtin')} AS text, "
        f"c.status || ', ' || {_number_of('c.units', 'unit')} AS detail, c.seq AS entry FROM carton c "
        "WHERE c.sscc LIKE :digits ESCAPE '!' ORDER BY c.seq",
        "digits",
    ),
    _Rule(
        "'pallet' AS kind, sscc AS code, '' AS text, status AS detail, seq AS entry FROM pallet "
        "WHERE sscc LIKE :digits ESCAPE '!' ORDER BY seq",
        "digits",
    ),
    _Rule(
        "'numbered sleeve' AS kind, n.number AS code, "
        f"{_PRODUCT_OF.format(gtin='n.gtin')} AS text, 'in carton ' || n.carton AS detail, n.seq AS entry "
        "FROM numbered_sleeve n WHERE n.number = :whole ORDER BY n.gtin",
        "whole",
    ),
    _Rule(
        f"'order' AS kind, o.code, o.consignee AS text, o.country || ', ' || {_number_of('o.quantity', 'unit')} AS detail, "
        f"o.seq AS entry FROM customer_order o WHERE {_has_packed('o.code')} OR {_has('o.consignee')} ORDER BY o.seq",
        "packed",
    ),
    _Rule(
        f"'consignee' AS kind, consignee AS code, country AS text, {_number_of('COUNT(*)', 'order')} AS detail, NULL AS entry "
        f"FROM customer_order WHERE {_has('consignee')} GROUP BY consignee, country ORDER BY consignee, country",
        "plain",
    ),
    _Rule(
        "'shipment' AS kind, s.code, o.consignee AS text, s.status || ', order ' || s.order_code AS detail, "
        "s.seq AS entry FROM shipment s JOIN customer_order o ON o.code = s.order_code "
        f"WHERE {_has_packed('s.code')} OR {_has_packed('s.order_code')} OR {_has('o.consignee')} ORDER BY s.seq",
        "packed",
    ),
    _Rule(
        "'hold' AS kind, code, reason AS text, "
        "CASE WHEN lifted_seq IS NULL THEN 'in force' ELSE 'lifted' END || ', because of ' || cause AS detail, "
        f"seq AS entry FROM hold WHERE {_has_packed('code')} OR {_has('reason')} OR {_has_packed('cause')} ORDER BY seq",
        "plain",
    ),
    _Rule(
        "'case' AS kind, code, reason AS text, "
        "CASE WHEN closed_seq IS NULL THEN 'open' ELSE 'closed' END || ', about ' || cause AS detail, seq AS entry "
        f"FROM containment_case WHERE {_has_packed('code')} OR {_has('reason')} OR {_has_packed('cause')} ORDER BY seq",
        "plain",
    ),
    _Rule(
        "'investigation' AS kind, CAST(seq AS TEXT) AS code, reason AS text, "
        "CASE WHEN closed_seq IS NULL THEN 'open' ELSE 'closed' END || ', of ' || subject AS detail, seq AS entry "
        f"FROM investigation WHERE {_has('reason')} OR {_has_packed('subject')} ORDER BY seq",
        "plain",
    ),
    _Rule(
        "'person' AS kind, code, name AS text, '' AS detail, seq AS entry FROM person "
        f"WHERE {_has_packed('code')} OR {_has('name')} ORDER BY code",
        "plain",
    ),
    _Rule(
        "'station' AS kind, code, name AS text, area AS detail, seq AS entry FROM station "
        f"WHERE {_has_packed('code')} OR {_has('name')} ORDER BY code",
        "plain",
    ),
    _Rule(
        "'location' AS kind, code, name AS text, '' AS detail, seq AS entry FROM location "
        f"WHERE {_has_packed('code')} OR {_has('name')} ORDER BY code",
        "plain",
    ),
    _Rule(
        "'shipment' AS kind, s.code, o.consignee AS text, 'departed ' || s.departed_at AS detail, s.seq AS entry "
        "FROM shipment s JOIN customer_order o ON o.code = s.order_code "
        "WHERE SUBSTR(s.departed_at, 1, 10) BETWEEN :day AND :last ORDER BY s.departed_at",
        "day",
    ),
    _Rule(
        "'sample' AS kind, code, COALESCE('disc ' || stroke, 'disc of unknown stroke') || ' of lot ' || lot AS text, 'drawn ' || at AS detail, "
        "seq AS entry FROM sample WHERE SUBSTR(at, 1, 10) BETWEEN :day AND :last ORDER BY at",
        "day",
    ),
    _Rule(
        "'spindle' AS kind, code, 'lot ' || lot AS text, 'stacked ' || at AS detail, seq AS entry FROM spindle "
        "WHERE SUBSTR(at, 1, 10) BETWEEN :day AND :last ORDER BY at",
        "day",
    ),
    _Rule(
        "what AS kind, code, matrix AS text, 'made ' || made_at AS detail, seq AS entry FROM tool "
        "WHERE SUBSTR(made_at, 1, 10) BETWEEN :day AND :last ORDER BY made_at",
        "day",
    ),
    _Rule(
        "'finding' AS kind, finding AS code, sentence AS text, at AS detail, seq AS entry FROM finding "
        "WHERE SUBSTR(at, 1, 10) BETWEEN :day AND :last ORDER BY at",
        "day",
    ),
)


@dataclass(frozen=True, slots=True)
class SearchTerms:
    """What is looked for, in the forms in which it may stand in the records."""

    text: str
    """As given, without blanks around it; 2 characters or more."""
    day: str | None = None
    """First day of a period, YYYY-MM-DD; None if no day was given."""
    last: str | None = None
    """Its last day."""

    def parameters(self) -> dict[str, str]:
        """Return what the rules may ask with."""
        if self.day is not None and self.last is not None:
            return {"day": self.day, "last": self.last}
        packed = self.text.upper().replace(" ", "").replace("-", "")
        found = {"plain": f"%{_escaped(self.text.lower())}%", "packed": f"%{_escaped(packed)}%"}
        if packed.isascii() and packed.isdigit():
            # People read out the last digits of an SSCC; a serial number has to be given whole.
            found |= {"digits": f"%{packed}", "whole": packed.lstrip("0") or packed}
        return found


def _escaped(text_: str) -> str:
    return text_.replace("!", "!!").replace("%", "!%").replace("_", "!_")


def find_things(conn: Connection, wanted: SearchTerms, most: int) -> Iterator[HitsOfKind]:
    """Yield what each rule finds, those of a kind that is likeliest meant first.

    Args:
        conn: a connection inside a transaction.
        wanted: what is looked for.
        most: hits of one kind at most, 1 or more.
    """
    given = wanted.parameters()
    for rule in _RULES:
        if rule.needs in given:
            found = _ask(conn, rule, given, most)
            if found.total:
                yield found


def _ask(conn: Connection, rule: _Rule, given: dict[str, str], most: int) -> HitsOfKind:
    first = text(f"SELECT * FROM (SELECT {rule.query}) AS hits LIMIT :most")  # noqa: S608  our own text
    hits = tuple(Hit(*row) for row in conn.execute(first, {**given, "most": most}))
    if len(hits) < most:
        return HitsOfKind(hits, len(hits))
    count = text(f"SELECT COUNT(*) FROM (SELECT {rule.query}) AS hits")  # noqa: S608  our own text
    return HitsOfKind(hits, int(conn.execute(count, given).scalar_one()))
