"""The invented co-op of the demo: groups, sites, towns, and the names its people are made of.

Towns, ZIP codes and area codes are real and belong together; streets, sites and people are not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

COOP = "Furrow & Fen Seed Growers' Co-op"

# name: first opening day, days from one opening to the next, days that a window is open
GROUPS = {
    "Bluff": (date(2026, 11, 6), 28, 6),
    "Prairie": (date(2026, 11, 13), 28, 6),
    "Lakeshore": (date(2026, 11, 20), 28, 6),
    "Hill": (date(2026, 11, 10), 35, 8),
}
LAST_DAY = date(2028, 12, 31)


@dataclass(frozen=True)
class Site:
    name: str
    street: str
    town: str
    state: str
    zip5: str
    group: str
    host: str
    phone: str
    closed: bool = False


SITES = (
    Site("Viroqua Grange Hall", "310 Thistledown Rd", "Viroqua", "WI", "54665", "Bluff", "Ingrid Solheim", "608-555-0101"),
    Site("La Crosse Seed Library", "77 Sandbar St", "La Crosse", "WI", "54601", "Bluff", "Mai Vang", "608-555-0102"),
    Site("Decorah Rail Depot", "5 Milkweed Ave", "Decorah", "IA", "52101", "Bluff", "Owen Teslow", "563-555-0103", closed=True),
    Site("Ames Seed Barn", "1420 Bluestem Ln", "Ames", "IA", "50010", "Prairie", "Ruth Abara", "515-555-0104"),
    Site("Grinnell Town Shed", "88 Windrow St", "Grinnell", "IA", "50112", "Prairie", "Hal Brenneman", "641-555-0105"),
    Site("Cedar Falls Mill", "19 Sluice Ct", "Cedar Falls", "IA", "50613", "Prairie", "Dora Quist", "319-555-0106"),
    Site("Oshkosh Greenhouse", "240 Pikefin Ave", "Oshkosh", "WI", "54901", "Lakeshore", "Lena Marsh", "920-555-0107"),
    Site("Madison East Garage", "615 Cattail St", "Madison", "WI", "53704", "Lakeshore", "Tomás Rivas", "608-555-0108"),
    Site("Madison West Church Lot", "9 Burdock Cir", "Madison", "WI", "53711", "Lakeshore", "Faye Underhill", "608-555-0109"),
    Site("Brattleboro Feed Barn", "43 Sugarhouse Rd", "Brattleboro", "VT", "05301", "Hill", "Amos Thayer", "802-555-0110"),
    Site("Montpelier Meeting House", "12 Fieldstone Ln", "Montpelier", "VT", "05602", "Hill", "June Pelkey", "802-555-0111"),
    Site("Keene Fair Barn", "150 Haywain Rd", "Keene", "NH", "03431", "Hill", "Wes Colby", "603-555-0112"),
)  # fmt: skip

# by site: towns whose people collect there
TOWNS = {
    "Viroqua Grange Hall": (("Viroqua", "WI", "54665"), ("Westby", "WI", "54667"), ("Viola", "WI", "54664"), ("La Farge", "WI", "54639"), ("Soldiers Grove", "WI", "54655")),
    "La Crosse Seed Library": (("La Crosse", "WI", "54601"), ("Onalaska", "WI", "54650"), ("Holmen", "WI", "54636"), ("West Salem", "WI", "54669")),
    "Decorah Rail Depot": (("Decorah", "IA", "52101"), ("Waukon", "IA", "52172"), ("Cresco", "IA", "52136")),
    "Ames Seed Barn": (("Ames", "IA", "50010"), ("Ames", "IA", "50014"), ("Nevada", "IA", "50201"), ("Boone", "IA", "50036")),
    "Grinnell Town Shed": (("Grinnell", "IA", "50112"), ("Newton", "IA", "50208"), ("Montezuma", "IA", "50171")),
    "Cedar Falls Mill": (("Cedar Falls", "IA", "50613"), ("Waterloo", "IA", "50701"), ("Waverly", "IA", "50677")),
    "Oshkosh Greenhouse": (("Oshkosh", "WI", "54901"), ("Oshkosh", "WI", "54902"), ("Neenah", "WI", "54956"), ("Ripon", "WI", "54971")),
    "Madison East Garage": (("Madison", "WI", "53704"), ("Madison", "WI", "53703"), ("Sun Prairie", "WI", "53590")),
    "Madison West Church Lot": (("Madison", "WI", "53711"), ("Verona", "WI", "53593"), ("Stoughton", "WI", "53589")),
    "Brattleboro Feed Barn": (("Brattleboro", "VT", "05301"), ("Putney", "VT", "05346"), ("Greenfield", "MA", "01301")),
    "Montpelier Meeting House": (("Montpelier", "VT", "05602"), ("Barre", "VT", "05641"), ("Northfield", "VT", "05663")),
    "Keene Fair Barn": (("Keene", "NH", "03431"), ("Swanzey", "NH", "03446"), ("Walpole", "NH", "03608")),
}  # fmt: skip

# by the first three digits of the ZIP: the area code of most phones there
AREA_CODES = {
    "546": "608", "521": "563", "500": "515", "502": "515", "501": "641", "506": "319", "507": "319",
    "549": "920", "537": "608", "535": "608", "053": "802", "056": "802", "034": "603", "036": "603", "013": "413",
}  # fmt: skip
ELSEWHERE = ("612", "651", "414", "262", "715", "518", "207", "860", "773", "402")  # cell phones

STREETS = (
    "Thistledown Rd", "Bluestem Ln", "Windrow St", "Milkweed Ave", "Sandbar St", "Sluice Ct",
    "Pikefin Ave", "Cattail St", "Burdock Cir", "Sugarhouse Rd", "Fieldstone Ln", "Haywain Rd",
    "Goosefoot Dr", "Seedling Way", "Threshing Ave", "Barnswallow Ln", "Rutabaga St", "Larkspur Ct",
    "Coneflower Dr", "Old Creamery Rd", "Switchgrass Ter", "Plowshare St", "Nettle Hill Rd",
    "N Granary St", "S Granary St", "E Furrow Ave", "W Furrow Ave", "Quack Grass Rd",
)  # fmt: skip

GIVEN = (
    "Ada", "Agnes", "Alice", "Amos", "Anders", "Anita", "Arlo", "Astrid", "Benjamin", "Bertha",
    "Bonnie", "Carl", "Cecilia", "Charles", "Chue", "Clara", "Curtis", "Daniel", "Darlene", "David",
    "Deborah", "Dolores", "Donald", "Edith", "Edward", "Eleanor", "Elena", "Elizabeth", "Emil",
    "Erica", "Esther", "Eugene", "Evelyn", "Felipe", "Frances", "Gail", "Gerald", "Gloria", "Greta",
    "Gwen", "Hannah", "Harold", "Hazel", "Heidi", "Helen", "Henry", "Hugo", "Ida", "Ines", "Isaac",
    "James", "Jennifer", "Joan", "Joel", "Josephine", "Julia", "Karl", "Katherine", "Kenji", "Kou",
    "Laura", "Leif", "Leon", "Linnea", "Lois", "Lorna", "Louisa", "Lucas", "Mabel", "Marcus",
    "Margaret", "Marisol", "Martha", "Michael", "Mira", "Nadia", "Nathan", "Nora", "Olive", "Omar",
    "Otto", "Patricia", "Paul", "Pearl", "Peter", "Priya", "Rachel", "Ramona", "Richard", "Robert",
    "Rosa", "Ruben", "Samuel", "Sigrid", "Simon", "Stella", "Susan", "Sylvia", "Theodore", "Thomas",
    "Tobias", "Ursula", "Vera", "Viola", "Virginia", "Walter", "Wendell", "William", "Winifred", "Ximena",
)  # fmt: skip
FAMILY = (
    "Aasen", "Abara", "Ackerman", "Aguilar", "Amundson", "Anderson", "Arneson", "Baptiste", "Barlow",
    "Becker", "Berg", "Birkeland", "Bjork", "Blanchard", "Boyer", "Brenneman", "Brandt", "Calloway",
    "Castellanos", "Chang", "Chisholm", "Cho", "Clausen", "Colby", "Crane", "Dahl", "Delgado",
    "Dietz", "Dufresne", "Ebert", "Egeland", "Ellingson", "Engel", "Fairbanks", "Farrow", "Fisk",
    "Fletcher", "Fontaine", "Frey", "Garcia", "Gilbertson", "Goodall", "Gruber", "Gustafson",
    "Haas", "Halvorson", "Hanover", "Haugen", "Her", "Hernandez", "Holcomb", "Hostetler", "Huber",
    "Ihde", "Iverson", "Jaramillo", "Jensen", "Johnson", "Kaplan", "Keller", "Kirkwood", "Klein",
    "Knutson", "Kowalski", "Krueger", "Lachance", "Larsen", "Lee", "Lindqvist", "Lor", "Lund",
    "Maes", "Marsh", "Mendoza", "Miller", "Moua", "Mueller", "Nakamura", "Nelson", "Nguyen", "Nowak",
    "Nygaard", "Oakes", "Olson", "Ortega", "Ostrander", "Pelkey", "Petersen", "Pham", "Pickett",
    "Quist", "Radke", "Rasmussen", "Reyes", "Ridley", "Rivas", "Rosenthal", "Sandoval", "Schmidt",
    "Schroeder", "Skaar", "Smith", "Solheim", "Stark", "Swenson", "Talbot", "Teslow", "Thao",
    "Thayer", "Tollefson", "Torres", "Underhill", "Valdez", "Vang", "Voss", "Wagner", "Weaver",
    "Whitcomb", "Wilder", "Winslow", "Wolff", "Xiong", "Yang", "Yoder", "Zastrow", "Zimmer",
)  # fmt: skip
NICKNAMES = {
    "Robert": "Bob", "William": "Bill", "Margaret": "Peggy", "Elizabeth": "Liz", "Katherine": "Kathy",
    "Michael": "Mike", "James": "Jim", "Patricia": "Pat", "Susan": "Sue", "Thomas": "Tom",
    "Deborah": "Deb", "Richard": "Rick", "Jennifer": "Jen", "Theodore": "Ted", "Edward": "Ed",
}  # fmt: skip


def windows(group: str) -> list[tuple[date, date]]:
    """The group's ordering windows: every few weeks until the end of 2028."""
    opens, every, length = GROUPS[group]
    found = []
    while (closes := opens + timedelta(days=length - 1)) <= LAST_DAY:
        found.append((opens, closes))
        opens += timedelta(days=every)
    return found


def settings() -> str:
    """onboard.toml of the demo."""
    lines = [
        "# The settings of an invented co-op: docs/scenario.md tells its story,",
        "# docs/settings.md what each line means. Made by tests/demo/make_demo.py.",
        "",
        "[coop]",
        f'name = "{COOP}"',
        'ordering_page = "https://order.furrowandfen.example.org/signin"',
        'shop_page = "https://shop.furrowandfen.example.com"',
        'sender = "hello@furrowandfen.example.org"',
        'reply_phone = "608-555-0100"',
        'postal_address = """',
        "310 Thistledown Rd",
        'Viroqua, WI 54665"""',
        'time_zone = "America/Chicago"',
        'region = "US"',
        'languages = ["en", "es"]',
        "security_question = true",
        'extra_questions = ["How did you hear about us?"]',
        "",
        "[handle]",
        "longest = 30",
        'reserved = ["furrowandfen"]',
        "",
        "[first_password]",
        "words = 5",
        "valid_days = 14",
        "",
        "[files]",
        'roster = "roster.db"',
        'outbox = "outbox"',
    ]
    for group in GROUPS:
        days = [f"    {{ opens = {a}, closes = {b} }}," for a, b in windows(group)]
        lines += ["", "[[group]]", f'name = "{group}"', "windows = [", *days, "]"]
    for site in SITES:
        lines += [
            "",
            "[[site]]",
            f'name = "{site.name}"',
            f'address = "{site.street}, {site.town}, {site.state}"',
            f'zip = "{site.zip5}"',
            f'group = "{site.group}"',
            f'host = "{site.host}"',
            f'host_phone = "{site.phone}"',
            *(["closed = true"] if site.closed else []),
        ]
    return "\n".join(lines) + "\n"
