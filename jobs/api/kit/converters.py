"""What stands in addresses."""


class Key:
    """A row's key: a whole number that every database takes."""

    regex = "[0-9]{1,18}"

    def to_python(self, text: str) -> int:
        return int(text)

    def to_url(self, key: int) -> str:
        return str(key)
