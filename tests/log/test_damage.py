"""What differs from the log is named, and nothing damaged is exported unless asked."""

import re

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from jobs.core import blobs
from jobs.log import private_texts
from jobs.models import Cost, Event, Paper, Picture, PrivateText
from tests.log.exported import contents
from tests.stories import a_long_story


def alter_a_paper() -> str:
    """Change a bit of a paper; return what names it."""
    paper = Paper.objects.exclude(file_sha256="").first()
    path = blobs.folder() / paper.file_sha256
    path.write_bytes(b"C" + path.read_bytes()[1:])
    return rf"file {paper.file_sha256} \({paper.number}\) was altered"


def lose_a_picture() -> str:
    picture = Picture.objects.first()
    name = private_texts.read(picture.picture_ref)
    (blobs.folder() / name).unlink()
    return rf"file {name} \(a picture of {picture.piece or picture.commission}\) is missing"


def lose_a_receipt() -> str:
    cost = Cost.objects.exclude(picture_ref=None).select_related("commission")[0]
    name = private_texts.read(cost.picture_ref)
    (blobs.folder() / name).unlink()
    return rf"file {name} \(the receipt of a cost of {cost.commission.number}\) is missing"


def alter_a_text() -> str:
    event = Event.objects.filter(kind="client_added").first()
    PrivateText.objects.filter(id=event.data["name"]["private"]).update(text="Somebody Else")
    return rf"a text of event {event.seq} \(client_added\) was altered"


@pytest.mark.django_db
def test_what_differs_from_the_log_is_named_and_an_export_leaves_nothing_half_written(
    tmp_path, files_folder, capsys
):
    a_long_story()
    call_command("verify_log", files=True)
    assert "texts, the chain holds" in (said := capsys.readouterr().out) and "files are as they" in said
    whole, fresh, empty = (
        {p: p.read_bytes() for p in blobs.all_files()},
        tmp_path / "new",
        tmp_path / "empty",
    )
    empty.mkdir()
    for damage in (alter_a_paper, lose_a_picture, lose_a_receipt, alter_a_text):
        with transaction.atomic():
            named = damage()
            for folder in (fresh, empty):
                with pytest.raises(CommandError, match=named):
                    call_command("export", str(folder))
            assert not fresh.exists() and list(empty.iterdir()) == []
            if damage == alter_a_text:
                with pytest.raises(CommandError, match=named):
                    call_command("verify_log")
            else:
                call_command("verify_log")
                with pytest.raises(CommandError, match="1 files are missing or altered"):
                    call_command("verify_log", files=True)
                assert re.search(named, capsys.readouterr().err)
            transaction.set_rollback(True)
        for path, content in whole.items():
            path.write_bytes(content)
    named = alter_a_paper()
    call_command("export", str(fresh), leave_out_damaged=True)
    assert re.search(named, capsys.readouterr().err)
    left_out = set(whole) - {blobs.folder() / name for name in contents(fresh / "files")}
    assert [bool(blobs.trouble(p.name)) for p in left_out] == [True]
