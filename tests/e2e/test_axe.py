"""The pages asked by axe-core in a browser, where both are at hand: no violation.

The variable `RUNOUT_TEST_AXE` names the file `axe.min.js` of the package axe-core of the npm registry; a browser is
any Chromium on the path. A page takes seconds in a browser, so this is not part of every run.
"""

import html
import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from support_pages import PAGES, page_of

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
AXE = os.environ.get("RUNOUT_TEST_AXE")

pytestmark = [
    pytest.mark.skipif(BROWSER is None, reason="no Chromium is installed: pages are not asked in a browser"),
    pytest.mark.skipif(AXE is None, reason="RUNOUT_TEST_AXE names no axe.min.js: pages are not asked by it"),
]

ASK = """axe.run(document, {resultTypes: ["violations"]}).then(found => {
  const said = document.createElement("pre");
  said.id = "axe-said";
  said.textContent = JSON.stringify(found.violations.map(one => [one.id, one.nodes.map(node => node.html)]));
  document.body.append(said);
});"""


@pytest.mark.parametrize("kind", PAGES)
def test_axe_finds_no_violation(kind, tmp_path):
    assert violations(page_of(kind), tmp_path) == []


def test_axe_would_find_one(tmp_path):
    """A page with pale letters and a table without heads is refused: the question is really asked."""
    bad = page_of("rules").replace("<h1>", '<h1 style="color: #bbb">').replace('scope="col"', 'scope="wrong"')
    assert {rule for rule, _nodes in violations(bad, tmp_path)} >= {"color-contrast", "scope-attr-valid"}


def violations(page, folder):
    # Our pages let no script run; the copy that is asked must.
    page = re.sub('<meta http-equiv="Content-Security-Policy"[^>]*>', "", page)
    file = Path(folder, "page.html")
    script = f"<script>{Path(AXE).read_text(encoding='utf-8')}</script><script>{ASK}</script>"
    file.write_text(page.replace("</body>", f"{script}</body>"), encoding="utf-8")
    words = [
        BROWSER,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--virtual-time-budget=30000",
        "--dump-dom",
    ]
    done = subprocess.run([*words, file.as_uri()], capture_output=True, text=True, timeout=300, check=True)
    said = re.search('<pre id="axe-said">(.*?)</pre>', done.stdout, re.DOTALL)
    assert said, done.stderr[-500:]
    return json.loads(html.unescape(said[1]))
