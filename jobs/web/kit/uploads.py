"""The size limit of a form with a file."""

from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadhandler import FileUploadHandler

from jobs.domain.notes.images import MOST_BYTES

MOST_SENT = MOST_BYTES + 1024 * 1024
"""The largest picture accepted, and room for the text beside it."""


class Limited(FileUploadHandler):
    """Refuse a request that announces more, before anything of it is kept."""

    def handle_raw_input(
        self, input_data: Any, META: Any, content_length: int, boundary: Any, encoding: Any = None
    ) -> None:
        if content_length > MOST_SENT:
            raise RequestDataTooBig(f"more than {MOST_SENT} bytes")

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None
