"""What a phone keeps: every file a page needs, the open pages, and how it hears of changes."""

import json
import re

from django.contrib.staticfiles import finders

from jobs.models import LogHead, Piece
from tests.shop_fixtures import Work
from tests.web.pages import Pages


def shell(pages: Pages) -> dict:
    answer = pages.http.get("/service-worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    return json.loads(
        answer.content.decode().splitlines()[0].removeprefix("const SHELL = ").removesuffix(";")
    )


def kept(pages: Pages) -> dict[str, str]:
    return {page["url"]: page["mark"] for page in json.loads(pages.get("/kept/").answer.content)["pages"]}


def test_every_file_that_a_page_needs_is_kept(pages: Pages, piece: Piece):
    named = set(shell(pages)["files"])
    for path in ("/", f"/pieces/{piece.number}/stages/survey/", "/needs-your-eye/"):
        html = pages.http.get(path).content.decode()
        needed = set(re.findall(r'(?:src|href)="(/static/[^"#]+)', html)) - {"/static/web/icons/mark-180.png"}
        assert needed and needed <= named
    for file in named - {"/no-signal/"}:
        assert finders.find(file.removeprefix("/static/")), file


def test_scripts_import_only_what_is_kept(pages: Pages):
    named = shell(pages)["files"]
    for file in (f for f in named if f.endswith(".js") and "/web/" in f):
        with open(str(finders.find(file.removeprefix("/static/"))), encoding="utf-8") as script:
            imported = re.findall(r'^import .*"\./([^"]+)";$', script.read(), re.M)
        assert {f"/static/web/{name}" for name in imported} <= set(named)


def test_the_page_without_signal_names_nobody(pages: Pages):
    page = pages.get("/no-signal/")
    assert pages.person and str(pages.person) not in page.text and pages.person.id not in page.text


def test_pages_at_hand_are_kept_and_none_of_clients_and_money(pages: Pages, piece: Piece):
    urls = kept(pages)
    assert {"/", "/commissions/", f"/commissions/{piece.commission.number}/"} <= set(urls)
    assert f"/pieces/{piece.number}/stages/survey/" in urls
    assert not [u for u in urls if re.search("client|price|payment|receivables|offers|papers|/c/", u)]
    for url in urls:
        pages.get(url)


def test_a_maker_is_not_told_to_keep_what_is_the_owners(maker_pages: Pages, work: Work, piece: Piece):
    for url in kept(maker_pages):
        maker_pages.get(url)


def test_only_what_changed_is_fetched_anew(pages: Pages, work: Work, piece: Piece):
    other = work.accepted()
    before = kept(pages)
    work.start(piece, "survey")
    after = kept(pages)
    changed = {url for url in after if before.get(url) != after[url]}
    assert f"/pieces/{piece.number}/stages/survey/" in changed and "/" in changed
    assert not [url for url in changed if other.number in url or other.commission.number in url]


def test_a_page_hears_of_changes_on_another_device(pages: Pages, work: Work, piece: Piece):
    seen = Piece.objects.get().version
    calm = pages.get(f"/changed/{piece.number}/?seen={seen}", 204).answer
    assert "HX-Trigger" not in calm and "HX-Trigger" not in pages.get(f"/changed/?seen={_seq()}", 204).answer
    before = _seq()
    work.start(piece, "survey")
    for path in (f"/changed/{piece.number}/?seen={seen}", f"/changed/?seen={before}"):
        assert pages.get(path, 204).answer["HX-Trigger"] == "changed-elsewhere"


def _seq() -> int:
    return LogHead.objects.get().seq
