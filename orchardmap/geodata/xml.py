"""XML from strangers: no document type, no entity, no include, nothing fetched."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from orchardmap.errors import ImportFileError
from orchardmap.geodata.text import MAX_TEXT_BYTES

MAX_DEPTH = 100


def parsed(data: bytes, *, where: str) -> Element:
    """Return the root of an XML document.

    Parameters
    ----------
    data : bytes
        The document in an encoding it announces, or UTF-8.
    where : str
        Name of the format, for messages.

    Returns
    -------
    Element

    Raises
    ------
    ImportFileError
        When it is too large, not well formed, nested too deep, or declares a document type or entities.
    """
    if len(data) > MAX_TEXT_BYTES:
        raise ImportFileError(f"The file is larger than {MAX_TEXT_BYTES / 1e6:.0f} MB.", where=where)
    try:
        root: Element = fromstring(data, forbid_dtd=True)
    except DefusedXmlException as fault:
        raise ImportFileError(
            "It declares a document type or entities, which are never needed here and can do harm.",
            where=where,
            todo="Save it again from the program it comes from.",
        ) from fault
    except ParseError as fault:
        line, column = fault.position
        raise ImportFileError(
            f"The XML breaks off or is wrong at line {line}, column {column}.", where=where
        ) from fault
    except (ValueError, LookupError) as fault:
        raise ImportFileError("The XML announces an encoding that is not read.", where=where) from fault
    _check_depth(root, where=where)
    return root


def _check_depth(root: Element, *, where: str) -> None:
    level = [root]
    for _ in range(MAX_DEPTH):
        level = [child for parent in level for child in parent]
        if not level:
            return
    raise ImportFileError(f"The XML is nested more than {MAX_DEPTH} deep.", where=where)


def local_name(element: Element) -> str:
    """Return the element's name without its namespace; empty for comments and instructions."""
    tag = element.tag
    return tag.rsplit("}", 1)[-1] if isinstance(tag, str) else ""


def children(element: Element, *names: str) -> Iterator[Element]:
    """Yield the direct children with one of the local names."""
    return (child for child in element if local_name(child) in names)


def child_text(element: Element, name: str) -> str:
    """Return the text of the first child of that name, or nothing."""
    found = next(children(element, name), None)
    return (found.text or "").strip() if found is not None else ""
