"""Packs read by programs that know nothing of how they were made: qpdf, poppler, ngspice, openpyxl, Pillow, the csv
and zipfile modules of Python, sha256sum. Run by `cargo xtask test`.

usage: outside.py UNBURY ROOT SCRATCH
"""

import csv
import pathlib
import re
import shutil
import subprocess
import sys
import zipfile

import openpyxl
from PIL import Image, ImageDraw

UNBURY, ROOT, SCRATCH = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
RECORDS = sorted(path for path in (ROOT / "records").glob("*/*.toml") if path.name != "expected.toml")
# The forms each record is packed in: paper, units, language.
FORMS = [("a4", "metric", "en"), ("letter", "us", "es")]
# ISO 216 A4 and ANSI letter in points.
SIZES = {"a4": "595.276 x 841.89", "letter": "612 x 792"}
# What page one calls itself.
KINDS = {"en": "HAND-OVER REPORT", "es": "INFORME DE ENTREGA"}


def ran(*words, code=0):
    made = subprocess.run([str(word) for word in words], capture_output=True, encoding="utf-8", errors="replace")
    assert made.returncode == code, f"{words}: {made.returncode}\n{made.stdout}{made.stderr}"
    return made


def pack(record, folder, form, *more, code=0):
    paper, units, language = form
    shutil.rmtree(folder, ignore_errors=True)
    return ran(UNBURY, "report", record, "--out", folder, "--paper", paper, "--units", units,
               "--language", language, "--date", "2026-05-02", *more, code=code)


def text_of(pdf, *options):
    return ran("pdftotext", "-enc", "UTF-8", *options, pdf, "-").stdout


def in_one_line(text):
    return re.sub(r"\s+", " ", text)


def check_pdf(folder, form, name):
    paper, _, language = form
    pdf = folder / "report.pdf"
    ran("qpdf", "--check", pdf)
    info = ran("pdfinfo", pdf).stdout
    assert re.search(r"^Tagged:\s+yes$", info, re.M), info
    assert SIZES[paper] in info, info
    # The tags: headings, tables with their head cells, lists (ISO 32000-1, 14.8.4).
    tags = ran("pdfinfo", "-struct", pdf).stdout
    for tag in ("Document", "H1", "H2", "Table", "TH", "TD", "L", "LI"):
        assert re.search(rf"^\s*{tag}\b", tags, re.M), f"{pdf}: no tag {tag}"
    first = text_of(pdf, "-l", "1")
    assert KINDS[language] in first and name in first, first
    assert "2026-05-02" in first
    words = text_of(pdf)
    # A name that a line parts at its hyphen is given no second one on the next line.
    twice = re.search(r"\w-\n-\w+", text_of(pdf, "-raw"))
    assert not twice, f"{pdf}: {twice.group()!r}"
    assert not re.search(r"\b(unsafe|seguro|segura)\b", words, re.I), "a claim that is not made"
    return words


def check_manifest(folder):
    subprocess.run(["sha256sum", "--strict", "--quiet", "-c", "manifest.sha256"], cwd=folder, check=True)
    lines = (folder / "manifest.sha256").read_text().splitlines()
    listed = {line.split("  ", 1)[1] for line in lines}
    found = {path.name for path in folder.iterdir()} - {"manifest.sha256"}
    assert listed == found, listed ^ found


def check_tables(folder):
    book = openpyxl.load_workbook(folder / "tables.xlsx")
    tables = sorted(folder.glob("*.csv"))
    assert len(book.sheetnames) == len(tables) >= 9
    read = []
    for path in tables:
        with open(path, newline="", encoding="utf-8") as file:
            rows = list(csv.reader(file))
        assert len({len(row) for row in rows}) == 1, f"{path}: rows of unequal length"
        assert not any(cell[:1] in ("=", "@") for row in rows for cell in row), path
        read.append((len(rows), len(rows[0])))
    sizes = sorted((sheet.max_row, sheet.max_column) for sheet in book)
    assert sizes == sorted(read), f"{sizes} in the workbook, {sorted(read)} as CSV"
    for sheet in book:
        assert sheet.freeze_panes == "A2", sheet.title
        assert not any(cell.data_type == "f" for row in sheet for cell in row), "a formula"


def check_decks(folder):
    """Every circuit of the pack is solved by ngspice, every value it asks for is printed."""
    for deck in folder.glob("*.cir"):
        said = subprocess.run(["ngspice", "-b", "-n", deck], capture_output=True, encoding="utf-8", errors="replace")
        printed = re.findall(r"^(\S+) = -?\d", said.stdout, re.M)
        asked = re.findall(r"^print (\S+)", deck.read_text(encoding="utf-8"), re.M)
        assert asked and set(asked) <= set(printed), f"{deck}: {set(asked) - set(printed)}\n{said.stderr[-600:]}"


def wire_names(record):
    section = record.read_text().split("\n[wires]", 1)[1].split("\n[", 1)[0]
    return set(re.findall(r"^([A-Za-z][\w-]*)\s*=", section, re.M))


def check_record(record):
    name = re.search(r'^name = "(.*)"', record.read_text(), re.M).group(1)
    for form in FORMS:
        folder = SCRATCH / f"{record.stem}-{form[2]}"
        pack(record, folder, form)
        words = check_pdf(folder, form, name)
        check_manifest(folder)
        check_tables(folder)
        check_decks(folder)
        assert (folder / "record.toml").read_bytes() == record.read_bytes()
        flat = re.sub(r"[\s\u200b-]", "", words)
        missing = [wire for wire in wire_names(record) if wire.replace("-", "") not in flat]
        assert not missing, f"{record}: not in the report: {missing}"
        if form[1] == "us":
            # Drawings stay in metric units, so the tables are looked at.
            wires = (folder / "wires.csv").read_text(encoding="utf-8")
            assert re.search(r"\d (ft|in)\b", wires) and re.search(r"\d °F", wires), f"{record}: no US units"
            assert not re.search(r"\d (m|mm|°C)\b", wires), f"{record}: metric units left"


def check_zip_and_bytes():
    """One archive of all files; made again the same bytes."""
    folder, again = SCRATCH / "zipped", SCRATCH / "again"
    pack(RECORDS[0], folder, FORMS[0], "--zip")
    pack(RECORDS[0], again, FORMS[0])
    for path in folder.iterdir():
        assert path.read_bytes() == (again / path.name).read_bytes(), f"{path.name} differs when made again"
    with zipfile.ZipFile(folder.with_suffix(".zip")) as archive:
        assert archive.testzip() is None
        names = {pathlib.PurePosixPath(name).name for name in archive.namelist()}
        assert names == {path.name for path in folder.iterdir()}
        for path in folder.iterdir():
            assert archive.read(f"zipped/{path.name}") == path.read_bytes()


VAN = """unbury = 1
[vehicle]
name = "Photo van"
region = "europe"
[devices]
house = {{ kind = "agm battery", behind = "nothing" }}
lamp = {{ kind = "filament lamp", behind = "nothing" }}
[wires]
w1 = "house.+ to lamp.+, 1.5 mm2, 3 m"
w2 = "lamp.- to house.-, 1.5 mm2, 3 m"
[photos]
{photos}
"""


def lying_photo(path):
    """Red on the left; the Exif block says turn a quarter to the right, and where it was taken."""
    picture = Image.new("RGB", (1200, 800), (20, 20, 200))
    ImageDraw.Draw(picture).rectangle((0, 0, 599, 799), fill=(200, 20, 20))
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "a maker"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (52.0, 5.0, 1.0)
    picture.save(path, exif=exif, comment=b"a comment")


def check_photos():
    home = SCRATCH / "photos-van"
    shutil.rmtree(home, ignore_errors=True)
    (home / "photos").mkdir(parents=True)
    lying_photo(home / "photos/good.jpg")
    assert Image.open(home / "photos/good.jpg").getexif().get_ifd(0x8825), "the test photo has no place"
    Image.new("RGBA", (60, 40), (0, 0, 0, 0)).save(home / "photos/clear.png")
    good = (home / "photos/good.jpg").read_bytes()
    (home / "photos/cut.jpg").write_bytes(good[: len(good) // 2])
    (home / "photos/text.jpg").write_text("no picture at all")
    (home / "photos/folder.jpg").mkdir()
    Image.new("1", (30000, 30000)).save(home / "photos/bomb.png")
    outside = SCRATCH / "outside.jpg"
    shutil.copy(home / "photos/good.jpg", outside)
    (home / "photos/link.jpg").symlink_to(outside.resolve())
    names = ["good.jpg", "clear.png", "cut.jpg", "text.jpg", "folder.jpg", "bomb.png", "link.jpg", "gone.jpg"]
    lines = [f'p{at} = {{ file = "photos/{name}", of = "w1 at house.+", arrow = "60 %, 40 %" }}'
             for at, name in enumerate(names)]
    record = home / "van.toml"
    record.write_text(VAN.format(photos="\n".join(lines)))
    folder = SCRATCH / "photos-pack"
    made = pack(record, folder, FORMS[0], code=4)
    kept = {path.name for path in folder.glob("photo-*.jpg")}
    assert kept == {"photo-p0.jpg", "photo-p1.jpg"}, f"{kept}\n{made.stderr}"
    told = in_one_line(made.stderr)
    for at, name in enumerate(names):
        assert (f"photos/{name}" in told) == (at >= 2), told
    clean = Image.open(folder / "photo-p0.jpg")
    assert clean.size[0] < clean.size[1], "not turned upright"
    assert not clean.getexif() and "comment" not in clean.info, clean.info
    assert clean.getpixel((clean.size[0] // 2, 20))[0] > 150, "the left edge is not on top"
    first = in_one_line(text_of(folder / "report.pdf", "-l", "1"))
    assert "6 photos were refused" in first, first
    assert b"Exif" not in (folder / "report.pdf").read_bytes()
    check_manifest(folder)


def check_faulty_records():
    """A record with errors, one with a path out of its folder and an empty one still get a pack."""
    home = SCRATCH / "faulty"
    home.mkdir(exist_ok=True)
    broken = VAN.format(photos='p = { file = "../../etc/passwd" }').replace("lamp.+", "lamb.+", 1)
    for name, text in (("broken", broken), ("empty", "")):
        record = home / f"{name}.toml"
        record.write_text(text)
        folder = SCRATCH / f"faulty-{name}"
        pack(record, folder, FORMS[0], code=3)
        ran("qpdf", "--check", folder / "report.pdf")
        check_manifest(folder)
        if name == "broken":
            first = in_one_line(text_of(folder / "report.pdf", "-l", "1"))
            assert "2 faults in the record" in first, first


def main():
    SCRATCH.mkdir(parents=True, exist_ok=True)
    assert len(RECORDS) >= 5, RECORDS
    check_zip_and_bytes()
    check_photos()
    check_faulty_records()
    print("photos, archive and faulty records: as they should be")
    for record in RECORDS:
        check_record(record)
        print(f"{record.stem}: packs hold together")


main()
