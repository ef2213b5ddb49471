"""People out of a few names and numbers, so that they are often alike; and people of junk."""

from __future__ import annotations

from hypothesis import strategies as st

from onboard.model import Person

NAMES = st.sampled_from(
    ["", "Ana", "Anna", "ana", "A.", "Bob", "Robert", "Roberta", "José", "Mary Ann", "O'Neil",
     "Ruiz", "Ruiz-Soto", "van den Berg", "Smith", "Smyth", "Quill Jr.", "\udc80", "Ω", "-", "1"]
)  # fmt: skip
PEOPLE = st.builds(
    Person,
    owner=st.sampled_from([f"member:{n}" for n in range(9)]),
    given=NAMES,
    middle=NAMES,
    family=NAMES,
    suffix=st.sampled_from(["", "Jr", "Sr.", "III", "PhD"]),
    called=st.sampled_from(["", "", "Bob", "Pat"]),
    former=st.sampled_from(["", "", "Soto"]),
    email=st.sampled_from(
        ["", "ana.ruiz@example.org", "anaruiz@example.org", "bob71@example.net", "@", "x",
         "roberta_smith7@example.org"]
    ),
    phone=st.sampled_from(["", "+12025550143", "+12025550134", "2025550143", "+442079460000"]),
    street=st.sampled_from(["", "12 N MAIN ST", "12 MAIN ST", "21 N MAIN ST", "PO BOX 4", "#"]),
    unit=st.sampled_from(["", "APT 4", "# 4", "APT 5"]),
    city=st.sampled_from(["", "LIMA", "LIMAA"]),
    zip5=st.sampled_from(["", "45801", "45810", "4580", "K1A 0B1"]),
    born=st.sampled_from(["", "1971-02-03", "1971-03-02", "2/3/1971", "1917-02-03", "soon"]),
    joint=st.sampled_from([(), ("Bob",), ("Ana", "")]),
)  # fmt: skip
JUNK = st.text(max_size=40)
JUNK_PEOPLE = st.builds(
    Person,
    owner=st.just("row:x"),
    **{field: JUNK for field in Person._fields if field not in ("owner", "joint")},
    joint=st.lists(JUNK, max_size=2).map(tuple),
)
