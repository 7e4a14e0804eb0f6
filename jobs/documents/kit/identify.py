"""The standards a finished PDF declares: PDF/UA-1, and the profile of the invoice data inside it.

The renderer can declare one standard only. The others are written into the one ``rdf:RDF`` of its metadata,
each with the extension schema that PDF/A requires (ISO 19005-3, 6.6.2.3).
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass

import pikepdf

END = b"</rdf:RDF>"


@dataclass(frozen=True, kw_only=True)
class Schema:
    """Properties of one namespace, with their values and descriptions."""

    name: str
    prefix: str
    uri: str
    properties: tuple[tuple[str, str, str, str], ...]
    """Name, type, value, description."""

    def values(self) -> str:
        told = "".join(
            f"<{self.prefix}:{name}>{value}</{self.prefix}:{name}>" for name, _, value, _ in self.properties
        )
        return f'<rdf:Description rdf:about="" xmlns:{self.prefix}="{self.uri}">{told}</rdf:Description>'

    def described(self) -> str:
        listed = "".join(
            '<rdf:li rdf:parseType="Resource">'
            f"<pdfaProperty:name>{name}</pdfaProperty:name>"
            f"<pdfaProperty:valueType>{kind}</pdfaProperty:valueType>"
            "<pdfaProperty:category>external</pdfaProperty:category>"
            f"<pdfaProperty:description>{about}</pdfaProperty:description></rdf:li>"
            for name, kind, _, about in self.properties
        )
        return (
            f'<rdf:li rdf:parseType="Resource"><pdfaSchema:schema>{self.name}</pdfaSchema:schema>'
            f"<pdfaSchema:namespaceURI>{self.uri}</pdfaSchema:namespaceURI>"
            f"<pdfaSchema:prefix>{self.prefix}</pdfaSchema:prefix>"
            f"<pdfaSchema:property><rdf:Seq>{listed}</rdf:Seq></pdfaSchema:property></rdf:li>"
        )


ACCESSIBLE = Schema(
    name="PDF/UA identification",
    prefix="pdfuaid",
    uri="http://www.aiim.org/pdfua/ns/id/",
    properties=(("part", "Integer", "1", "Part of ISO 14289 that this file follows"),),
)
FILE_NAME = "factur-x.xml"
INVOICE_DATA = Schema(
    name="Factur-X PDFA Extension Schema",
    prefix="fx",
    uri="urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#",
    properties=(
        ("DocumentType", "Text", "INVOICE", "Type of the document inside"),
        ("DocumentFileName", "Text", FILE_NAME, "Name of the file inside"),
        ("Version", "Text", "1.0", "Version of the schema of the data"),
        ("ConformanceLevel", "Text", "EN 16931", "Profile of the data"),
    ),
)


def identified(pdf: bytes, schemas: Sequence[Schema]) -> bytes:
    """Return the file with these schemas in its metadata; the same bytes each time."""
    with pikepdf.open(io.BytesIO(pdf)) as file:
        before = file.Root.Metadata.read_bytes()
        if before.count(END) != 1:
            raise ValueError("the metadata of a paper has one rdf:RDF")
        file.Root.Metadata.write(before.replace(END, _told(schemas).encode() + END))
        if "/AF" in file.Root:  # the renderer names each file twice
            once = {each.objgen: each for each in file.Root.AF}
            file.Root.AF = pikepdf.Array(list(once.values()))
        out = io.BytesIO()
        file.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()


def _told(schemas: Sequence[Schema]) -> str:
    described = "".join(schema.described() for schema in schemas)
    return "".join(schema.values() for schema in schemas) + (
        '<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"'
        ' xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"'
        ' xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">'
        f"<pdfaExtension:schemas><rdf:Bag>{described}</rdf:Bag></pdfaExtension:schemas></rdf:Description>"
    )
