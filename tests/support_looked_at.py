"""Which pages axe-core is asked about, and which kinds of pages there are: a kind that is not asked about fails a test."""

import re

from starlette.routing import Route
from support_cases import ADA, CAUSE
from support_plant import LINE, n

PAGES = (
    "/sign-in",
    f"/thing/{CAUSE}",
    f"/thing/{ADA}",
    f"/thing/{LINE}",
    "/search?q=shop",
    "/contain",
    f"/contain?cause={CAUSE}&shape=from-onset",
    f"/contain?cause={CAUSE}&shape=window",
    "/cases",
    "/holds",
    "/investigations",
    f"/balance?of={n('B1')}",
    "/findings",
    "/entry/7",
    f"/journal?station={LINE}",
    "/audit",
    "/audit/job",
    "/audit/rules?part=recalls",
    "/drill?what=carton&seed=7",
    f"/samples?lot={n('L1')}&aql=4.0&level=S-2",
    f"/carton-check?of={n('L1')}",
    "/capability",
    "/case-rules",
    "/act/record-drill",
    "/browsers",
    "/browser",
    "/act/lift-hold",
    "/act/case-open",
    "/act/enrol-browser",
    "/nowhere",
)

LOOKED_AT = tuple(
    each
    for each in PAGES
    if each
    not in (
        "/investigations",
        "/audit/job",
        "/act/case-open",
        "/act/record-drill",
        "/search?q=shop",
        "/browser",
    )
)
"""Those that are not made of the same parts as another; axe takes a second or more for each."""
IN_THE_DARK = (f"/thing/{CAUSE}", "/act/lift-hold", "/audit", f"/contain?cause={CAUSE}&shape=from-onset")
"""Pages that have every kind of element between them."""
HALL = (
    f"/thing/{n('F1')}",
    f"/thing/{n('N1')}",
    f"/thing/{n('U101')}",
    f"/thing/{n('X1')}",
    f"/balance?of={n('N2')}",
    f"/contain?cause={n('F1')}&shape=intermittent",
    "/faults?by=symptom",
    "/cause",
    "/pace",
    "/search?q=motor+nobody",
    "/board",
    "/station",
    "/investigations",
    "/audit/job",
    "/browser",
    "/audit/bundle",
)
"""What looks otherwise in a hall, and kinds that need no plant of their own."""
OF_A_CASE = ("/case/{}", "/case/{}/notices", "/case/{}/summary")
"""Pages of a case, whose code is known once it is open."""
IN_TESTS_OF_THEIR_OWN = (f"/station/{LINE}", "/board/wall?area=line", "/chart?code=T1", "/done/1")
"""Asked about where they are tried: a station, the wall, a chart, what an act came to."""
_NO_PAGE = re.compile(
    r"/|/board/changes|.*\.(css|js|pdf|xlsx|zip|json)|/audit/bundle/\{name\}|/audit/proof|/station/\{code\}/.*"
)
"""Addresses that give a file or a stream, or lead to another page."""


def page_kinds(app):
    """The addresses of pages that somebody looks at, by their pattern."""
    gets = [route for route in app.routes if isinstance(route, Route) and "GET" in (route.methods or ())]
    return {route.path: route.path_regex for route in gets if not _NO_PAGE.fullmatch(route.path)}


def asked_about():
    """The addresses that axe is asked about, without their questions."""
    of_a_case = [each.format("Q0000018") for each in OF_A_CASE]
    return [each.partition("?")[0] for each in (*LOOKED_AT, *HALL, *of_a_case, *IN_TESTS_OF_THEIR_OWN)]
