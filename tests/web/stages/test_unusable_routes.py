"""An invalid route file or template: it alone is left out, and named with its reason."""

from pathlib import Path

import pytest
from django.utils import timezone

from jobs.domain.overviews import service_health
from jobs.domain.routes import all_routes
from jobs.models import Event, Piece, RouteTemplate
from tests.api.client import Api
from tests.shop_fixtures import TOP, Work
from tests.web.pages import Pages
from tests.web.stages.test_routes import OWN

FILM = 'key = "edge-glued-film"\ntitle = "Mine"\n'
BAD = {
    "cut-off.toml": b'key = "cut',
    "latin.toml": 'key = "caf\u00e9"'.encode("latin-1"),
    "deep.toml": OWN.encode() + b"notes = " + b"[" * 500 + b"]" * 500,
    "digits.toml": OWN.encode() + b"notes = " + b"9" * 5000,
    "shape.toml": b'key = "shape"\ntitle = "Shape"\nstage = 3',
    "long.toml": OWN.encode() + b"# " + b"x" * 300_000,
    "wait.toml": OWN.encode() + b'waits = [{ kind = "dry", title = "Drying", duration = "soon" }]',
    "film.toml": FILM.encode() + b"stage = []",
    "empty.toml": b"",
}


@pytest.fixture
def folder(settings, tmp_path: Path) -> Path:
    settings.ROUTES_DIR = tmp_path
    return tmp_path


@pytest.mark.parametrize("name", [*BAD, "folder.toml"])
def test_a_bad_file_blocks_only_itself(pages: Pages, folder: Path, work: Work, piece: Piece, name: str):
    (folder / "shelf.toml").write_text(OWN)
    if name in BAD:
        (folder / name).write_bytes(BAD[name])
    else:
        (folder / name).mkdir()
    assert "shelf" in all_routes() and all_routes()["edge-glued-film"].title != "Mine"
    number = piece.commission.number
    for path in ("/", f"/commissions/{number}/", f"/commissions/{number}/pieces/new/", "/commissions/new/"):
        pages.get(path)
    for path in ("/route-templates/", "/engine-room/"):
        told = pages.get(path).words
        assert f"{name} : " in told and "allowed: " in told and "Fix these route templates" in told
    pages.get("/route-templates/shelf/")
    pages.get("/route-templates/edge-glued-film/")
    api = Api(work.by)
    assert "shelf" in [r["key"] for r in api.get("routes/").data]
    made = api.post(f"commissions/{number}/pieces/", {"label": "Shelf", "route": "shelf"})
    assert made.status_code == 201
    assert api.post(f"commissions/{number}/pieces/", {**TOP, "length": "70"}).status_code == 201
    assert work.start(piece, "survey").events
    (folder / name).rmdir() if (folder / name).is_dir() else (folder / name).unlink()
    assert "Fix these" not in pages.get("/route-templates/").words


def test_a_stored_template_that_is_unusable_by_now_blocks_only_itself(pages: Pages, work: Work, piece: Piece):
    pages.send("/route-templates/edge-glued-film/", {"text": OWN})
    stored = RouteTemplate.objects.get(key="shelf")
    RouteTemplate.objects.filter(id=stored.id).update(text=OWN + "notes = 3\n")
    assert "shelf" not in all_routes()
    told = pages.get("/route-templates/").words
    assert "template shelf, version 1 : stage deliver: notes is not usable" in told
    page = pages.get("/route-templates/shelf/")
    assert "notes = 3" in page.form().typed["text"]
    pages.send("/route-templates/shelf/", {"text": OWN})
    assert "shelf" in all_routes() and Event.objects.filter(kind="template_set").count() == 2


def test_a_piece_whose_route_file_is_broken_by_now_goes_on(pages: Pages, folder: Path, work: Work):
    (folder / "shelf.toml").write_text(OWN)
    piece = work.accepted(route="shelf", label="Shelf")
    (folder / "shelf.toml").write_text(OWN + "notes = 3\n")
    number = piece.commission.number
    for path in ("", "quote/", "job-sheet/"):
        pages.get(f"/commissions/{number}/{path}")
    pages.get(f"/pieces/{piece.number}/route/")
    work.do(piece, "make")
    changed = Api(work.by).patch(f"pieces/{piece.number}/", {"label": "Long shelf"})
    assert (changed.status_code, changed.data["code"], changed.data["errors"][0]["field"]) == (
        404, "not-found", "route",
    )  # fmt: skip


@pytest.mark.needs("redis")
def test_health_warns_of_a_file_without_naming_it(folder: Path, work: Work, redis_url: str):
    now = timezone.now()
    service_health.beat(service_health.SWEEP, now=now, said={"messages": 0})
    service_health.worker_heartbeat("worker of this test", now)
    assert Api().http.get("/api/v1/health").json() == {"status": "well", "reasons": []}
    (folder / "secret name.toml").write_bytes(BAD["cut-off.toml"])
    answer = Api().http.get("/api/v1/health")
    assert answer.status_code == 200 and answer.json()["status"] == "warning"
    (told,) = answer.json()["reasons"]
    assert told.startswith("1 route template cannot be used") and "secret" not in told
