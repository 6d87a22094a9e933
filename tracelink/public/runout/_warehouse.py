"""Where things are, orders, stock kept for them, packing lists, cartons to be opened."""

from __future__ import annotations

from pathlib import Path

from runout._areas import Area
from runout._arguments import require_a, require_badge, require_file, require_share, require_text
from tracelink.facts.catalogue.product_record import ConsigneeRecord, OrderRecord, ProductRecord
from tracelink.facts.dock_stock import CheckPlan
from tracelink.facts.pack_list import PackList
from tracelink.services.badge_proof import Badge
from tracelink.services.desks import catalogue, warehouse


class Warehouse(Area):
    """The dock's desk; `ledger.warehouse`."""

    def find(self, code: str) -> warehouse.StockFound:
        """Say where a pallet or carton is, or what stands in a location or is on a vehicle.

        Args:
            code: an SSCC, a location or a shipment.

        Raises:
            IdentifierError, UsageError: the code is invalid, or the ledger knows no such thing.
        """
        require_text("code", code)
        with self._ledger.reading() as conn:
            return warehouse.find(conn, code)

    def packing_list(self, code: str) -> PackList:
        """Return what a shipment, pallet or carton holds.

        Args:
            code: an SSCC or a shipment.

        Raises:
            IdentifierError, UsageError: the code is invalid, or the ledger knows no such thing.
        """
        require_text("code", code)
        with self._ledger.reading() as conn:
            return warehouse.packing_list(conn, code)

    def product(self, gtin: str) -> ProductRecord:
        """Return a product with its lots, sleeves and orders.

        Args:
            gtin: 13 digits; or the code of a lot or sleeve batch, or the SSCC of a carton, of it.

        Raises:
            UnknownCode: there is no such thing.
        """
        require_text("gtin", gtin)
        with self._ledger.reading() as conn:
            return catalogue.product(conn, gtin)

    def order(self, code: str) -> OrderRecord:
        """Return an order with its lines and shipments.

        Raises:
            UnknownCode: there is no such order.
        """
        require_text("code", code)
        with self._ledger.reading() as conn:
            return catalogue.order(conn, code)

    def consignee(self, name: str) -> ConsigneeRecord:
        """Return a customer with its orders and shipments, and the cases in which it was told.

        Raises:
            UnknownCode: nobody of that name ordered anything.
        """
        require_text("name", name)
        with self._ledger.reading() as conn:
            return catalogue.consignee(conn, name)

    def take_orders(self, file: str | Path, by: Badge) -> int:
        """Take all orders of a file, or none; returns how many.

        Args:
            file: a .csv or .xlsx with the columns order, consignee, country, gtin, quantity.
            by: somebody with the role dock or quality.

        Raises:
            UsageError: the file cannot be read, or names every wrong line.
            RefusedByRule: the person may not.
        """
        require_badge(by)
        return warehouse.take_orders(self._ledger, require_file("file", file), by)

    def allocate(self, order: str, by: Badge) -> warehouse.StockKept:
        """Keep whole pallets, then loose cartons, for an order: the oldest lot first.

        Args:
            order: its code.
            by: somebody with the role dock or quality.

        Raises:
            UsageError: the order is not known.
            RefusedByRule: the person may not.
        """
        require_text("order", order)
        require_badge(by)
        return warehouse.allocate(self._ledger, order, by)

    def release(self, order: str, reason: str, by: Badge) -> int:
        """Let go of what is kept for an order and is on no vehicle; returns how many things.

        Args:
            order: its code.
            reason: why.
            by: somebody with the role dock or quality.

        Raises:
            UsageError: the order is not known.
            RefusedByRule: the person may not, or nothing is kept.
        """
        require_text("order", order)
        require_a("reason", reason, str)
        require_badge(by)
        return warehouse.release(self._ledger, order, reason, by)

    def draw_cartons(self, subject: str, by: Badge) -> int:
        """Draw the cartons of a pallet or lot for a check, once; returns how many were drawn now.

        Those that were drawn before stay in their order; those that came since take their places among them.

        Args:
            subject: the SSCC of a pallet, or a lot.
            by: somebody with the role dock or quality.

        Raises:
            UsageError: it is neither.
            RefusedByRule: the person may not.
        """
        require_text("subject", subject)
        require_badge(by)
        return warehouse.draw_cartons(self._ledger, subject, by)

    def cartons_to_open(self, subject: str, *, confidence: int = 95, detect: str | float = 5) -> CheckPlan:
        """Say how many cartons of a pallet or lot to open, which, and what those opened so far showed.

        Args:
            subject: the SSCC of a pallet, or a lot.
            confidence: percent, 1 to 99: how sure the check is to find so many wrong cartons.
            detect: percent, 0.1 to 99.9: the share of wrong cartons that it speaks against, taken as given.

        Raises:
            UsageError: it is neither, holds no carton that could be opened, or a number is out of its range.
        """
        require_text("subject", subject)
        require_share("confidence", confidence, 1, 99)
        with self._ledger.reading() as conn:
            return warehouse.cartons_to_open(conn, subject, confidence, detect)
