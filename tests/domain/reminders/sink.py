"""A real HTTP server that takes pushes and keeps them."""

import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


class PushSink:
    """``status`` and ``says`` are its next answer, ``sends_on_to`` its redirect.

    Its address contains ``secret``.
    """

    secret = "pw-9f3b7c"

    def __init__(self) -> None:
        self.pushes: list[dict[str, Any]] = []
        self.status, self.says, self.sends_on_to = 200, "", ""
        sink = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                sink.pushes.append({**body, "path": self.path})
                self.send_response(sink.status)
                if sink.sends_on_to:
                    self.send_header("Location", sink.sends_on_to)
                self.end_headers()
                self.wfile.write(sink.says.encode())

            def log_message(self, format: str, *args: Any) -> None:
                """Print nothing."""

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)

    @property
    def url(self) -> str:
        return f"json://127.0.0.1:{self.server.server_port}/{self.secret}"

    def __enter__(self) -> "PushSink":
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        return self

    def __exit__(self, *problem: object) -> None:
        self.server.shutdown()
        self.server.server_close()
