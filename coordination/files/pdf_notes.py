"""What people and programs note beside the pages of a PDF, taken out of one part after the other.

Clauses are those of ISO 32000-1:2008; geographic measures are of ISO 32000-2:2020, 12.10.
"""

from pypdf.filters import decode_stream_data
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, StreamObject

from coordination.files.pdf_parts import at, name_at

# Metadata (14.3.2), private data of programs (14.5), embedded files (7.11.4) and their collection (12.3.5), previews
# (12.3.4), web capture (14.10), proxies of print shops (14.11.7), forms of another kind (12.7.8), colours of an output
# device (14.11.5), a layer's maker (8.11.4.4), styled text of remarks with its program (12.7.3.4).
NOTES = (
    "/Metadata", "/PieceInfo", "/LastModified", "/EF", "/RF", "/AF", "/EmbeddedFiles", "/Collection", "/Thumb",
    "/SpiderInfo", "/OPI", "/XFA", "/OutputIntents", "/CreatorInfo", "/RC",
)  # fmt: skip
# A page that is a map says where it lies.
PLACES = ("/LGIDict", "/PtData", "/GPTS", "/GCS")
# Scripts (12.6.4.16) and what runs by itself (12.6.3); sounds, films and models (13), attached files (12.5.6.15).
RUNS = ("/JavaScript", "/JS", "/AA")
PLAYED = ("/FS", "/Sound", "/Movie", "/RichMediaContent", "/RichMediaSettings", "/3DD")
ACTIONS = {
    "/JavaScript", "/Launch", "/SubmitForm", "/ImportData", "/GoToE", "/GoToR", "/Rendition", "/Movie", "/Sound",
    "/RichMediaExecute", "/GoTo3DView",
}  # fmt: skip
PLAYERS = {"/FileAttachment", "/Sound", "/Movie", "/Screen", "/RichMedia", "/3D"}
# Where a profile says what it describes (ICC.1:2022, 7.2.5).
INPUT_DEVICE = slice(12, 16)
DEVICE_COLOURS = {1: "/DeviceGray", 3: "/DeviceRGB", 4: "/DeviceCMYK"}
# Of the document information (14.3.3): what a paper says of itself, and when, but not by whom or with what.
SAYS_NOTHING = {"/Title", "/Subject", "/Keywords", "/CreationDate", "/ModDate", "/Trapped"}


def forget_notes(part: DictionaryObject | ArrayObject) -> bool:
    """Take the notes out of one part of a PDF; whether there were any."""
    if isinstance(part, ArrayObject):
        return _forget_profile(part)
    gone = [key for key in (*NOTES, *PLACES, *RUNS) if part.pop(key, None) is not None]
    if "/Rect" in part:
        gone += _forget_in_remark(part)
    if name_at(part, "/Type") == "/Thread" and part.pop("/I", None) is not None:
        gone.append("/I")
    return _forget_whole(part) or bool(gone)


def _forget_whole(part: DictionaryObject) -> bool:
    """Actions that run something or go to another file, and names of files on somebody's machine."""
    acts = name_at(part, "/S") in ACTIONS and "/P" not in part
    if isinstance(part, StreamObject) or not (acts or name_at(part, "/Type") in {"/Filespec", "/F"}):
        return False
    part.clear()
    return True


def _forget_in_remark(part: DictionaryObject) -> list[str]:
    """Who wrote a remark (12.5.6.2), and what it plays. Of a field of a form /T is the name."""
    kind = name_at(part, "/Subtype")
    keys = [*PLAYED] if kind in PLAYERS else []
    if kind != "/Widget":
        keys.append("/T")
    return [key for key in keys if part.pop(key, None) is not None]


def _forget_profile(part: ArrayObject) -> bool:
    """Colours as a named device sees them (8.6.5.5) become plain ones; whether it was a scanner or a camera."""
    if len(part) < 2 or part[0] != "/ICCBased":
        return False
    profile = part[1].get_object()
    number = at(profile, "/N") if isinstance(profile, DictionaryObject) else None
    part[:] = [NameObject(DEVICE_COLOURS.get(int(str(number or 3)), "/DeviceRGB"))]
    return isinstance(profile, StreamObject) and decode_stream_data(profile)[INPUT_DEVICE] == b"scnr"


def says_who(info: object) -> bool:
    """Whether the document information names a person or a program, or has entries of somebody's own."""
    return isinstance(info, DictionaryObject) and any(
        key not in SAYS_NOTHING and str(at(info, key) or "").strip() for key in info
    )
