"""News told to a client for the tests."""

import io

from PIL import Image

from jobs.domain.clients.updates import tell_client
from jobs.domain.notes.pictures import take_picture
from jobs.models import Picture, ReminderDue

TO = "orla@fenwick.example"


def a_picture(work, piece, stage="survey"):
    out = io.BytesIO()
    Image.new("RGB", (1800, 1200), "peru").save(out, "JPEG")
    take_picture(work.call(), piece=piece.number, stage=stage, picture=out.getvalue(), words="a flaw here")
    return Picture.objects.last().id


def tell(work, piece, words="The <b>top</b> is in clamps", **more):
    return tell_client(work.call(), commission=piece.commission.number, words=words, **more)


def due(kind):
    return ReminderDue.objects.filter(kind=kind, channel="screen").order_by("due_at").first()
