"""The README and every page of the guide are true: their examples run, in order, on the demo plant."""

import re
import shutil

import pytest
from support_demo import ROOT
from support_each import each
from support_examples import examples, perform, steps

from tracelink.cli.guide import FOLDER, guide_pages

PAGES = {"README": ROOT / "README.md", **{page.name: FOLDER / f"{page.name}.md" for page in guide_pages()}}


@pytest.fixture(params=[name for name, file in PAGES.items() if examples(file.read_text(encoding="utf-8"))])
def page(request):
    return request.param


def test_every_example_runs_as_the_page_says(page, demo, tmp_path, monkeypatch):
    folder = tmp_path / "out"
    if page == "start":
        folder.mkdir()  # its reader begins with nothing
    else:
        shutil.copytree(demo, folder)
    monkeypatch.chdir(folder)
    monkeypatch.delenv("RUNOUT_LEDGER", raising=False)
    for step in steps(PAGES[page].read_text(encoding="utf-8")):
        perform(step, folder)


@each("name", PAGES)
def test_every_link_of_a_page_leads_to_a_file(name):
    text = PAGES[name].read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+)\)", text)
    missing = [link for link in links if "://" not in link and not (PAGES[name].parent / link).exists()]
    assert missing == []


@each("name", [name for name in PAGES if name != "README"])
def test_a_page_says_first_what_it_is_and_for_whom(name):
    title, blank, for_whom, *_ = PAGES[name].read_text(encoding="utf-8").splitlines()
    assert title.startswith("# ")
    assert blank == ""
    assert for_whom.startswith("For: ")
