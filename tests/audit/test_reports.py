"""The report of an audit: as a page, workbook, CSV and JSON; beside the audit before; safe to open."""

from __future__ import annotations

import csv
import json
import re
import stat
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import examples
import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as law
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from onboard import audit, catalogue
from onboard.audit import access, reach, twice
from onboard.audit.briefs import Briefs
from onboard.audit.observation import Observation
from onboard.audit.outcome import Audit
from onboard.audit.record import Record, Rules
from onboard.model import Handle, Kind, PersonName, Weight
from onboard.reports import audit_page, audited
from onboard.reports.audit import Report, headline, read_earlier
from onboard.reports.audit import pieces as summary
from onboard.reports.audit_page import write_page
from onboard.reports.kinds import titled
from onboard.reports.table import Words
from onboard.settings import Settings

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
LIVE = "=HYPERLINK(1)"
MARKUP = '<script>alert(1)</script>"onload="x'


@pytest.fixture(scope="module")
def coop(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    return examples.coop(tmp_path_factory.mktemp("coop") / "onboard.toml")


def audit_of(accounts: Sequence[Record], coop: Settings, at: datetime = NOON) -> Audit:
    briefs = Briefs.of(
        account.brief(account.applicant.people()[0], " ".join(sorted(reach.ways(account))))
        for account in accounts
    )
    found = examples.found(accounts, coop)
    every = {kind.code: kind for kind in catalogue.kinds()}
    rules = Rules.of(coop, examples.TODAY)
    return Audit(at, "roster", rules, briefs, found, ("A note.",), 0, True, every)


def written(text: str, coop: Settings, folder: Path, at: datetime = NOON) -> dict[str, Path]:
    done = audit_of(examples.accounts(text, coop), coop, at)
    report = audited.report_of(done, audited.earlier_in(folder))
    return {file.name: file for file in audited.write(done, report, folder)}


TWO = f"given: {LIVE}; family: {MARKUP}; handle: PatLee; phone: 419| given: Kim; site: Nowhere; handle: kim"


def test_all_files_are_private_and_tell_the_same(coop: Settings, tmp_path: Path) -> None:
    files = written(TWO, coop, tmp_path / "out")
    assert stat.S_IMODE((tmp_path / "out").stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in files.values()} == {0o600}
    said = json.loads(files["audit.json"].read_text("ascii"))
    codes = {kind["code"]: kind["count"] for kind in said["kinds"]}
    assert codes["access.capitals"] == codes["site.unknown"] == 1
    with files["findings.csv"].open(encoding="utf-8-sig", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert sorted(row["code"] for row in rows) == sorted(f["code"] for f in said["findings"])
    book = CalamineWorkbook.from_path(files["audit.xlsx"])
    assert book.sheet_names[:2] == ["Overview", "Calls"]
    assert book.sheet_names[2:] == [titled(code) for code, count in codes.items() if count]
    overview = book.get_sheet_by_name("Overview").to_python()[1:]
    assert {row[0]: row[4] for row in overview} == {titled(c): n for c, n in codes.items()}


def test_nothing_that_a_member_typed_is_live(coop: Settings, tmp_path: Path) -> None:
    files = written(TWO, coop, tmp_path)
    with files["findings.csv"].open(encoding="utf-8-sig", newline="") as lines:
        assert not [cell for row in csv.reader(lines) for cell in row if cell.startswith("=")]
    page = files["audit.html"].read_text("utf-8")
    assert "<script" not in page.lower()
    assert "HYPERLINK" in page


class Outside(HTMLParser):
    """Everything on a page that would be fetched, or run."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.ids: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "iframe", "object", "embed", "img", "link", "audio", "video", "form"):
            self.found.append(tag)
        for name, value in attributes:
            if name.startswith("on") or (
                name.endswith(("href", "src")) and (value or "")[:1] != "#"
            ):
                self.found.append(f"{tag} {name}={value}")
            if name == "id" and value:
                self.ids.append(value)


def outside(page: str) -> list[str]:
    parser = Outside()
    parser.feed(page)
    assert len(parser.ids) == len(set(parser.ids))
    return parser.found


def test_the_page_stands_alone(coop: Settings, tmp_path: Path) -> None:
    page = written(TWO, coop, tmp_path)["audit.html"].read_text("utf-8")
    assert outside(page) == []
    addresses = set(re.findall(r"https?://[^\s\"'<>)]+", page))
    # names of the standards that SVG is written in, which nobody fetches
    assert addresses <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
    assert "@import" not in page
    assert "url(" not in page


def test_every_chart_has_its_table_and_a_name_that_is_read_aloud(
    coop: Settings, tmp_path: Path
) -> None:
    page = written(TWO, coop, tmp_path)["audit.html"].read_text("utf-8")
    drawn = re.findall(r"<svg xmlns[^>]*>", page)
    assert len(drawn) == 2  # by group, and the map
    assert all('role="img"' in one and "aria-label" in one for one in drawn)
    named = re.findall(r'aria-labelledby="([^"]+)"', page)
    for number in [number for both in named for number in both.split()]:
        assert re.search(rf'<(title|desc) id="{number}">[^<]+</\1>', page)
    assert page.count("<table") >= 2
    for code in ("Access", "Place"):
        assert re.search(rf"<td>{code}</td><td class=\"n\">\d", page)


@law(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=40), st.text(max_size=40), st.text(max_size=20))
def test_no_text_on_file_breaks_the_page_or_the_tables(
    coop: Settings, tmp_path: Path, given: str, email: str, handle: str
) -> None:
    member = replace(
        examples.member(1, {}), handle=Handle(handle), email=email, site=given,
        address=(given, email), name=PersonName(given, family=handle),
    )  # fmt: skip
    account = audit.of_member(member, coop)
    done = audit_of([account], coop)
    report = audited.report_of(done)
    write_page(report, tmp_path / "page.html")
    assert outside((tmp_path / "page.html").read_text("utf-8")) == []
    audited.write(done, report, tmp_path / "all")


def test_an_audit_is_told_beside_the_one_before(coop: Settings, tmp_path: Path) -> None:
    before = datetime(2026, 10, 25, 12, tzinfo=UTC)
    written("given: Pat; handle: PatLee| given: Kim; handle: KimRivers", coop, tmp_path, before)
    files = written("given: Pat; handle: PatLee; site: Nowhere| given: Kim", coop, tmp_path)
    said = json.loads(files["audit.json"].read_text("ascii"))
    of = {kind["code"]: kind for kind in said["kinds"]}
    capitals, unknown = of["access.capitals"], of["site.unknown"]
    assert (capitals["before"], capitals["count"], capitals["new"], capitals["gone"]) == (
        2,
        1,
        0,
        1,
    )
    assert (unknown["before"], unknown["count"], unknown["new"], unknown["gone"]) == (0, 1, 1, 0)
    assert [f["new"] for f in said["findings"] if f["code"] == "site.unknown"] == [True]
    assert [a["at"][:10] for a in said["history"]] == ["2026-10-25", "2026-11-25"]
    page = files["audit.html"].read_text("utf-8")
    assert "Better and worse" in page
    assert read_earlier(tmp_path / "audit (earlier).json").at.startswith("2026-10-25")


@pytest.mark.parametrize("audits", [2, 5, 9])
def test_the_chart_of_all_audits_names_its_lines_and_the_last_day(
    coop: Settings, tmp_path: Path, audits: int
) -> None:
    for month in range(12 - audits, 12):
        at = datetime(2026, month, 25, 12, tzinfo=UTC)
        files = written("given: Pat; handle: PatLee; site: Nowhere", coop, tmp_path, at)
    page = files["audit.html"].read_text("utf-8")
    (chart,) = re.findall(r'<svg[^>]*labelledby="over-time.*?</svg>', page, re.DOTALL)
    words = re.findall(r'<text x="([\d.]+)" y="([\d.]+)" class="\w+">([^<]+)</text>', chart)
    told = [word for _, _, word in words]
    assert "Nov 25" in told
    assert sorted(
        word.partition(" ")[2] for word in told if word.endswith(("answer", "check"))
    ) == [
        "needs an answer",
        "please check",
    ]
    height = float(re.search(r'viewBox="0 0 520 (\d+)"', chart)[1])  # type: ignore[index]
    assert all(0 < float(y) < height for _, y, _ in words)
    assert len(set(words)) == len(words)


def test_who_is_to_collect_at_a_closed_site_is_counted_there(coop: Settings) -> None:
    text = "site: Troy Church Lot| site: troy church lot| site: Lima Grange Hall"
    report = audited.report_of(audit_of(examples.accounts(text, coop), coop))
    assert {site.name: site.members for site in report.sites if site.members} == {
        "Troy Church Lot": 2,
        "Lima Grange Hall": 1,
    }


def test_the_day_of_an_audit_is_that_of_the_coop(coop: Settings, tmp_path: Path) -> None:
    evening = datetime(2026, 11, 26, 2, tzinfo=UTC)  # still the 25th in Ohio
    files = written("given: Pat; handle: PatLee", coop, tmp_path, evening)
    (one,) = json.loads(files["audit.json"].read_text("ascii"))["history"]
    assert one["on"] == "2026-11-25"


def said(report: Report) -> list[str]:
    """The sentences of the summary."""
    return [piece.text for piece in summary(report) if isinstance(piece, Words)]


def test_a_call_about_a_site_alone_is_not_said_to_help_a_member(coop: Settings) -> None:
    hosted = replace(
        coop,
        sites=tuple(replace(s, host="Lee Darby", host_phone="419-234-5699") for s in coop.sites),
    )
    report = audited.report_of(audit_of([], hosted))
    assert [(call.helps, call.reasons) for call in report.calls] == [
        (0, ("few members at the drop site",))
    ]
    assert any("(419) 234-5699: few members at the drop site" in line for line in said(report))


def test_one_is_no_plural(coop: Settings) -> None:
    report = audited.report_of(audit_of(examples.accounts("given: PAT", coop), coop))
    assert headline(report).startswith("Checked 1 open account: ")
    assert headline(report).endswith("; 1 change proposed.")


def test_the_terminal_says_how_many_more_calls_there_are(coop: Settings) -> None:
    text = "| ".join(f"given: P{n}; last_sign_in: 2023-02-01" for n in range(6))
    report = audited.report_of(audit_of(examples.accounts(text, coop), coop))
    more = len(report.calls) - 3
    assert more > 0
    assert f"  and {more} more: see audit.html" in said(report)


def test_what_is_true_of_the_roster_is_not_said_of_somebody_without_a_name(coop: Settings) -> None:
    done = audit_of(examples.accounts("given: Pat", coop), coop)
    whole = replace(
        done, found=[Observation("roster", access.NEAR.found("9 pairs", "Nine pairs."))]
    )
    (kind,) = [k for k in audited.report_of(whole).kinds if k.count]
    assert kind.items[0].name == "the roster as a whole"


@pytest.mark.parametrize("kind", [access.NEAR, twice.POSSIBLE])
def test_what_is_only_counted_is_in_every_file(kind: Kind, coop: Settings, tmp_path: Path) -> None:
    done = audit_of(examples.accounts("given: Pat| given: Kim", coop), coop)
    counted = Observation("roster", kind.found("9 pairs", "Nine pairs of all."))
    pair = Observation("member:1", twice.POSSIBLE.found("", "Alike."), others=("member:2",))
    whole = replace(done, found=[counted, pair])
    files = audited.write(whole, audited.report_of(whole), tmp_path / "out")
    for file in files:
        if file.suffix in (".html", ".json", ".csv") and "pairs" not in file.name:
            assert "Nine pairs of all." in file.read_text("utf-8-sig"), file
    sheet = CalamineWorkbook.from_path(tmp_path / "out" / "audit.xlsx").get_sheet_by_name(
        titled(kind.code)
    )
    assert any("Nine pairs of all." in row for row in sheet.to_python())
    (listed,) = (
        CalamineWorkbook.from_path(tmp_path / "out" / audited.PAIRS)
        .get_sheet_by_index(0)
        .to_python()[1:]
    )
    assert sorted(listed[:2]) == ["member:1", "member:2"]


def test_no_line_ends_within_a_day_or_a_phone_number() -> None:
    said = audit_page.unbroken("<b>On 2026-11-03 call (608) 555-0110, not 12026-11-031.")
    assert said == (
        '&lt;b&gt;On <span class="whole">2026-11-03</span> call '
        '<span class="whole">(608) 555-0110</span>, not 12026-11-031.'
    )


def test_what_is_no_audit_is_said_to_be_none(tmp_path: Path) -> None:
    for text in ("", "[]", '{"audit": 1}', '{"audit": 99}', "\ud800"):
        (tmp_path / "audit.json").write_text(text, "utf-8", "surrogatepass")
        with pytest.raises(audited.FileTrouble, match="Move it away"):
            read_earlier(tmp_path / "audit.json")


# ---------------------------------------------------------------- calls


def test_a_call_that_helps_many_comes_before_one_that_helps_one(coop: Settings) -> None:
    closed = "site: Troy Church Lot"
    text = "| ".join((closed, closed, closed, "given: Sam; last_sign_in: 2023-02-01"))
    done = audit_of(examples.accounts(text, coop), coop)
    first, *others = audited.report_of(done).calls
    # Lee Darby, the host of the closed site, has no phone there: so each member is called
    assert first.helps == 1
    with_phone = tuple(
        replace(site, host_phone="419-234-5699") if site.closed else site for site in coop.sites
    )
    rules = replace(done.rules, settings=replace(coop, sites=with_phone))
    first, *others = audited.report_of(replace(done, rules=rules)).calls
    assert (first.whom, first.why_them, first.helps) == ("Lee Darby", "host of Troy Church Lot", 3)
    assert first.phone == "(419) 234-5699"
    assert [call.whom for call in others] == ["Sam Oster"]


def test_who_has_no_phone_is_asked_after_at_the_site(coop: Settings) -> None:
    text = "given: Pat; email: ; phone: ; address: | given: Kim"
    sites = tuple(replace(site, host_phone="419-234-5699") for site in coop.sites)
    coop = replace(coop, sites=sites)
    done = audit_of(examples.accounts(text, coop), coop)
    (call,) = audited.report_of(done).calls
    assert (call.whom, call.about) == ("Robin Vale", ("Pat Lee",))
    assert "can't be reached" in call.reasons[0]


def test_a_call_about_many_names_some_of_them_and_fewer_on_paper(
    coop: Settings, tmp_path: Path
) -> None:
    sites = tuple(replace(site, host_phone="419-234-5699") for site in coop.sites)
    text = "| ".join(f"given: Pat{n}; email: ; phone: ; address: " for n in range(40))
    # else it is of nearly all, and no matter of theirs
    text += "".join(f"| given: Kim{n}; phone: ; street: {n} Elm St" for n in range(20))
    coop = replace(coop, sites=sites)
    (call,) = audited.report_of(audit_of(examples.accounts(text, coop), coop)).calls
    assert call.named().endswith(", 28 more.")
    assert call.named(5).endswith(", 35 more.")
    page = written(text, coop, tmp_path)["audit.html"].read_text("utf-8")
    on_screen, on_paper = re.findall(r'<li class="(?:screen|paper)">About (.*?)</li>', page)
    assert (on_screen.count(","), on_paper.count(",")) == (12, 5)


def test_there_are_at_most_ten_calls(coop: Settings) -> None:
    text = "| ".join("site: Nowhere" for _ in range(14))
    assert len(audited.report_of(audit_of(examples.accounts(text, coop), coop)).calls) == 10


def test_what_is_true_of_nearly_all_is_not_counted_as_theirs(coop: Settings) -> None:
    everybody = "| ".join(["consent: "] * 24 + ["consent: ; site: Nowhere"])
    report = audited.report_of(audit_of(examples.accounts(everybody, coop), coop))
    assert {k.code: k.count for k in report.kinds}["upkeep.no_consent"] == 25
    (note,) = [note for note in report.notes if "nearly all accounts (25)" in note]
    assert note.startswith("We don't know if the member wants email. ")
    few = "| ".join(["consent: ; given: Pat", "given: Kim"])
    assert audited.report_of(audit_of(examples.accounts(few, coop), coop)).touched == 1


def test_what_nearly_all_accounts_have_is_not_among_those_to_check(coop: Settings) -> None:
    people = [
        f"given: P{n}; family: Voss{n}; consent: ; phone: ; street: {n} Oak St" for n in range(24)
    ]
    everybody = "| ".join([*people, "consent: ; site: Nowhere"])
    report = audited.report_of(audit_of(examples.accounts(everybody, coop), coop))
    to_check = {k.code: k for k in report.kinds if k.weight is Weight.DOUBTFUL}
    everywhere = to_check.pop("upkeep.no_consent")
    assert (everywhere.count, everywhere.is_nearly_all) == (25, True)
    told = sum(k.count for k in to_check.values() if not k.is_nearly_all)
    assert f"{told} to check," in headline(report)
    assert report.needs_a_person


def test_the_same_audited_again_is_as_many_as_before(coop: Settings, tmp_path: Path) -> None:
    done = audit_of(examples.accounts(TWO, coop), coop)
    # Two phones in one cell: two findings of one kind about one account.
    twice_over = replace(done, found=[*done.found, *done.found])
    audited.write(twice_over, audited.report_of(twice_over), tmp_path)
    again = audited.report_of(twice_over, audited.earlier_in(tmp_path))
    assert [(k.before, k.new, k.gone) for k in again.kinds] == [
        (k.count, 0, 0) for k in again.kinds
    ]
    once = audited.report_of(done, audited.earlier_in(tmp_path))
    assert all((k.before, k.new, k.gone) == (2 * k.count, 0, k.count) for k in once.kinds)
    more = replace(done, found=[*done.found, *done.found, *done.found])
    grown = audited.report_of(more, audited.earlier_in(tmp_path))
    assert all(k.new == k.count // 3 == sum(item.new for item in k.items) for k in grown.kinds)
    most = replace(done, found=[*done.found] * 6)
    grown = audited.report_of(most, audited.earlier_in(tmp_path))
    assert all(k.new == 4 * k.count // 6 == sum(item.new for item in k.items) for k in grown.kinds)


def test_a_host_is_not_called_with_what_a_member_is_told(coop: Settings, tmp_path: Path) -> None:
    sites = tuple(replace(site, host_phone="419-234-5699") for site in coop.sites)
    coop = replace(coop, sites=sites)
    done = audit_of(examples.accounts("phone: ; bounced: 2026-11-01", coop), coop)
    (call,) = [call for call in done.calls() if call.is_host]
    assert any("host" in words for words in call.asks)
    assert not any("number on file" in words for words in call.notes)
    files = written("phone: ; bounced: 2026-11-01", coop, tmp_path)
    assert "There are no others to make" in files["audit.html"].read_text("utf-8")


def test_a_kind_that_there_is_no_more_is_passed_over(coop: Settings, tmp_path: Path) -> None:
    done = audit_of(examples.accounts(TWO, coop), coop)
    audited.write(done, audited.report_of(done), tmp_path)
    fewer = {code: kind for code, kind in done.kinds.items() if code != "site.unknown"}
    found = [one for one in done.found if one.code != "site.unknown"]
    report = audited.report_of(
        replace(done, kinds=fewer, found=found), audited.earlier_in(tmp_path)
    )
    assert "site.unknown" not in {kind.code for kind in report.kinds}


def test_the_workbook_speaks_as_people_do_and_tells_what_came_and_went(
    coop: Settings, tmp_path: Path
) -> None:
    written("given: Kim; site: Nowhere; handle: kim| handle: ana", coop, tmp_path)
    book = written("handle: kim| given: Ana; site: Nowhere; handle: ana", coop, tmp_path)[
        "audit.xlsx"
    ]
    sheets = CalamineWorkbook.from_path(book)
    assert sheets.get_sheet_by_name("Unknown drop site").to_python()[0][:2] == [
        "Name",
        "Sign-in name",
    ]
    overview = sheets.get_sheet_by_name("Overview").to_python()
    (line,) = [row for row in overview if row[0] == "Unknown drop site"]
    assert [int(n) for n in line[4:]] == [1, 1, 1, 1]  # found, before, new, gone


# ---------------------------------------------------------------- what to ask


@pytest.mark.parametrize(
    ("said", "why", "ask"),
    [
        ("bounced: 2026-10-02", "emails come back", "Ask for an email address that works"),
        ("packet: refused", "the mail server refused", "Ask for an email address that works"),
        ("packet: waiting", "the welcome packet is held", "Ask which email address they use."),
        ("packet: unsure", "nobody knows if", "Ask if the welcome packet came."),
    ],
)
def test_whom_no_mail_reaches_is_called_with_a_number_and_something_to_ask(
    coop: Settings, said: str, why: str, ask: str, tmp_path: Path
) -> None:
    others = "".join(f"| given: Kim{n}; last_sign_in: 2024-01-02; street: {n} Elm St; site: Nowhere"
                     for n in range(30))  # fmt: skip
    text = f"given: Zoe; family: Quill; {said}; phone: tel:+14192293381; street: 9 Ash St{others}"
    files = written(text, coop, tmp_path)
    calls = json.loads(files["audit.json"].read_text("ascii"))["calls"]
    (call,) = [call for call in calls if call["whom"] == "Zoe Quill"]
    assert call["phone"] == "(419) 229-3381"
    assert call["reasons"][0].startswith(why)
    assert call["ask"][0].startswith(ask)
    page = files["audit.html"].read_text("utf-8")
    assert ask in page
    book = CalamineWorkbook.from_path(files["audit.xlsx"]).get_sheet_by_name("Calls").to_python()
    at = book[0].index("What to ask")
    assert [ask in row[at] for row in book if row[1] == "Zoe Quill"] == [True]


def test_a_packet_that_is_only_to_be_made_is_no_reason_to_call(coop: Settings) -> None:
    done = audit_of(examples.accounts("packet: due; joined: 2026-11-20", coop), coop)
    assert "access.no_packet" in {one.code for one in done.found}
    assert audited.report_of(done).calls == []


def test_some_of_those_whom_no_mail_reaches_are_called_however_many_others_wait(
    coop: Settings,
) -> None:
    hosted = tuple(
        replace(coop.sites[0], name=f"Site {n}", closed=False, host=f"Host {n}",
                host_phone=f"419-234-56{n:02}") for n in range(12)
    )  # fmt: skip
    coop = replace(coop, sites=hosted)
    cut = "given: Zoe; bounced: 2026-10-02; site: Site 0"
    rest = "".join(
        f"| given: P{n}; family: Voss{n}; site: Site {n % 12}; street: {n} Oak St; email: ; phone: "
        for n in range(60)
    )
    report = audited.report_of(audit_of(examples.accounts(cut + rest, coop), coop))
    assert len(report.calls) == 10
    assert "Zoe Lee" in {call.whom for call in report.calls}


def test_what_nearly_all_have_is_said_once_and_neither_drawn_nor_listed(
    coop: Settings, tmp_path: Path
) -> None:
    everybody = "| ".join(
        [f"given: P{n}; family: Voss{n}; consent: ; phone: ; street: {n} Oak St" for n in range(24)]
        + ["consent: ; site: Nowhere"]
    )
    files = written(everybody, coop, tmp_path)
    page = files["audit.html"].read_text("utf-8")
    assert page.count("We don't know if the member wants email.".replace("'", "&#39;")) == 1
    assert 'href="#upkeep"' not in page
    assert "Nobody asked this member" not in page
    tabs = CalamineWorkbook.from_path(files["audit.xlsx"]).sheet_names
    assert "Never asked about email" not in tabs
    assert "Unknown drop site" in tabs
    report = audited.report_of(audit_of(examples.accounts(everybody, coop), coop))
    told = [piece for piece in summary(report) if not isinstance(piece, Words)]
    assert not [row for table in told for row in table.rows if "wants email" in row[-1]]


# ---------------------------------------------------------------- in words


def test_no_tab_and_no_heading_is_a_code(coop: Settings, tmp_path: Path) -> None:
    files = written(TWO, coop, tmp_path)
    for file in files.values():
        if file.suffix != ".xlsx":
            continue
        book = CalamineWorkbook.from_path(file)
        for name in book.sheet_names:
            heads = list(map(str, book.get_sheet_by_name(name).to_python()[0]))
            wrong = [head for head in (name, *heads) if "_" in head or re.search(r"\w\.\w", head)]
            assert wrong == [], (file.name, name)


def test_pairs_of_nearly_all_are_each_a_matter_of_its_own(coop: Settings) -> None:
    """More findings than accounts are no finding of nearly all accounts, if they are about pairs."""
    done = audit_of(examples.accounts("| ".join(f"given: P{n}" for n in range(24)), coop), coop)
    pairs = [
        Observation(f"member:{n}", twice.POSSIBLE.found("", "Alike."), others=(f"member:{n + 1}",))
        for n in range(1, 24)
    ]
    report = audited.report_of(replace(done, found=pairs))
    assert [(kind.count, kind.is_nearly_all) for kind in report.kinds] == [(23, False)]
