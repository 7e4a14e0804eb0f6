"""The cost of an invoice beside the bare print of the same HTML: the data is the difference."""

from typing import Any

from jobs.documents.invoice import invoice_html
from jobs.documents.kit.einvoice import data_of
from jobs.documents.kit.pdf import to_pdf
from tests.benchmarks.bench_ratios import fastest, tell
from tests.documents.samples import an_invoice

LINES = 12
MOST = 1.3


def bench_invoice() -> None:
    import weasyprint

    frozen: dict[str, Any] = an_invoice(*({"description": f"Line {n} of the price"} for n in range(LINES)))
    frozen["net"] = "12000.00"
    html = invoice_html(frozen)

    def whole() -> None:
        to_pdf(invoice_html(frozen), size="A4", data=data_of(frozen))

    def bare() -> None:
        from jobs.documents.kit.pdf import VARIANT, _printer

        _, font_config, look, fetcher = _printer()
        document = weasyprint.HTML(string=html, base_url="", url_fetcher=fetcher)
        document.write_pdf(stylesheets=[look], font_config=font_config, pdf_variant=VARIANT)

    whole(), bare()
    printing, ours = fastest(bare, whole)
    tell("an invoice with its data", f"{ours * 1000:.0f} ms", ours / printing, "a bare print of its HTML")
    assert ours <= MOST * printing
