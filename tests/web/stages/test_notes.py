"""Notes for next time on the pages."""

import io

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from jobs.domain.notes.commands import write_note
from jobs.models import Note, NoteDismissal, Piece
from jobs.web.kit.uploads import MOST_SENT
from tests.shop_fixtures import QUICK, Work, a_piece
from tests.web.pages import Pages, head

WORDS = "Wax the cauls, the last panel stuck"


def a_file(content: bytes = b"", name: str = "cauls.png") -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "red").save(out, "PNG")
    return SimpleUploadedFile(name, content or out.getvalue(), "image/png")


def stage_of(piece: Piece, key: str = "glue-up") -> str:
    return f"/pieces/{piece.number}/stages/{key}/"


def test_a_note_with_a_picture_is_written_shown_dismissed_and_retired(
    pages: Pages, maker_pages: Pages, work: Work, piece: Piece
):
    later = a_piece(work.call(), piece.commission, **QUICK, label="Second top")
    assert f"{stage_of(piece)}note/" in maker_pages.get(stage_of(piece)).text
    typed = {"words": WORDS, "picture": a_file(), "only_for": "species", "order": "before:stiffeners"}
    maker_pages.send(f"{stage_of(piece)}note/", typed)
    note = Note.objects.get()
    assert (note.tags, note.rule) == (
        {"species": "black walnut"}, {"before": "glue-up", "than": "stiffeners"},
    )  # fmt: skip

    page = pages.get(stage_of(later))
    assert WORDS in page.words and "Ben Aldersey" in page.words and "Wood: black walnut" in page.words
    assert "glue up before stiffeners" in page.words
    picture = f"/notes/{note.id}/picture/"
    assert f'src="{picture}"' in page.text
    seen = pages.http.get(picture)
    assert Image.open(io.BytesIO(seen.content)).format == "JPEG"
    assert pages.http.get(picture, headers={"If-None-Match": seen["ETag"]}).status_code == 304
    assert WORDS not in pages.get(stage_of(later, "rip")).words
    assert "written on this piece" in pages.get(stage_of(piece)).words

    pages.send(stage_of(later), to=f"{note.id}/dismiss/")
    assert WORDS not in pages.get(stage_of(later)).words
    assert NoteDismissal.objects.get().piece == later.number
    listed = pages.get("/notes/")
    assert "Came back on 1 piece" in listed.words and f"#{later.number}" in listed.text
    pages.send("/notes/", {"reason": "coated cauls"}, to=f"{note.id}/retire/")
    assert WORDS not in pages.get("/notes/").words
    assert "coated cauls" in pages.get("/notes/?show=retired").words
    assert "a note for next time" in pages.get("/log/").words


def test_what_is_refused_stands_beside_its_field_and_keeps_what_was_typed(pages: Pages, piece: Piece):
    path, before = f"{stage_of(piece)}note/", head()

    def refused(status: int = 422, **typed: object):
        return pages.send(path, {"only_for": "glue", **typed}, status=status)

    assert "needs words" in refused(picture=a_file()).errors["words"]
    page = refused(words=WORDS, picture=a_file(b"GIF89a"))
    assert "cannot be read" in page.errors["picture"]
    assert page.form().typed["words"] == WORDS
    refused(302, words=WORDS, order="after:clamps-off")
    assert "against another" in refused(words=WORDS, order="before:clamps-off").errors["order"]
    assert "too large" in refused(400, words=WORDS, picture=a_file(bytes(MOST_SENT))).words
    assert head() == before + 1


def test_another_picture_is_another_request(pages: Pages, piece: Piece):
    path = f"{stage_of(piece)}note/"
    form = pages.get(path).form()
    typed = {"words": WORDS, "only_for": "glue"}
    for _ in range(2):
        pages.send_form(path, form, {**typed, "picture": a_file()})
    assert Note.objects.count() == 1
    other = {**typed, "picture": a_file(b"another picture")}
    assert "already used" in pages.send_form(path, form, other, status=422).words


def test_a_route_that_goes_against_a_note_says_so_on_its_page(pages: Pages, work: Work, piece: Piece):
    rule = {"before": "square-ends", "than": "stiffeners"}
    write_note(work.call(), piece=piece.number, stage="square-ends", words=WORDS, rule=rule)
    stiff = a_piece(work.call(), piece.commission, **QUICK, stiffeners=True)
    assert WORDS in pages.get(f"/commissions/{piece.commission.number}/").words
    assert "does not wait for" in pages.get(stage_of(stiff, "stiffeners")).words


def test_the_owners_notes_are_not_shown_to_a_maker(maker_pages: Pages, work: Work, piece: Piece):
    write_note(work.call(), piece=piece.number, stage="paid", words=WORDS)
    assert WORDS not in maker_pages.get("/notes/").words
    maker_pages.get(f"{stage_of(piece, 'paid')}note/", 403)
    maker_pages.post(f"/notes/{Note.objects.get().id}/retire/", {"form_key": "k"}, 403)
