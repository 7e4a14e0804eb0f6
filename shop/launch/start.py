"""``manage.py start``: from a fresh clone to a running service. Standard library only up to ``enter``."""

import argparse

from shop.launch import system, venv


def main(arguments: list[str]) -> int:
    asked = parse(arguments)
    venv.enter(["start", *arguments], requirements=venv.RUN)
    system.provide("weasyprint")
    from shop.launch.service import Service  # needs the packages just installed

    return Service(host=asked.host, port=asked.port, demo=asked.demo, empty=asked.empty).run()


def parse(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="manage.py start", description="Install what is needed and run.")
    parser.add_argument("--demo", action="store_true", help="load the demo shop into an empty log")
    parser.add_argument(
        "--empty", action="store_true", help="begin an empty shop although papers of an earlier one are here"
    )
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on; 0.0.0.0 for all")
    parser.add_argument("--port", type=port, default=8000)
    return parser.parse_args(arguments)


def port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port from 1 to 65535")
    return int(text)
