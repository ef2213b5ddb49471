"""That somebody has died, as lists of members say it: beside the name, in notes, or in any other cell.

English and Spanish. Whoever it is said of is asked about; no packet is made of such a row. What is said of
somebody else's death ("widow of Harold", "her father passed away") is not said of the member.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from onboard.clean import mourning, secret
from onboard.clean.mourning import KIN
from onboard.late import any_of, late
from onboard.model import Cleaned, Finding, Kind, Weight

BY_NAME = Kind(
    "name.deceased",
    Weight.BLOCKING,
    "Next to the name it says that the person has died.",
    wrong="Pat Lee (deceased)",
    right="Pat Lee",
)
ASIDE = Kind(
    "notes.deceased",
    Weight.DOUBTFUL,
    "A note says that somebody has died.",
    wrong="passed away in May",
    right="gave away two hens",
)
KINDS = (BY_NAME, ASIDE)

_WHEN = r"(?:\s*(?:on|in|en|el)?\s*[\d/.\-]{2,10}|\s+[A-Z]?[a-z]{2,8}\.?,?\s+\d{4})?"
_SAID = r"(?:deceased|dcsd|deseased|dece?sed|decased|deceaced|deacesed|diceased|decease|dec(?:ea)?'?s?d|passed\s+away|has\s+passed|died|fallecid[oa]|falleci[oó]|difunt[oa]|finad[oa]|muri[oó])"
_SHORT = r"(?:dec|dcd|d|dead|r\.?i\.?p|q\.?e\.?p\.?d|muert[oa]|passed|†|✝|‡)"
_OF = (
    r"(?:the\s+late|late(?=\s+\S)|(?:the\s+)?est(?:ate|\.)?\s+of|(?:the\s+)?heirs\s+of|in\s+(?:loving\s+)?memor(?:y\s+of|iam:?)|"
    r"execut(?:or|rix)\s+(?:of|for)|el\s+finado|la\s+finada|sucesi[oó]n\s+de)"
)
_BESIDE = late(
    rf"[\s,;:\-–—*/]*[(\[]\s*(?:{_SAID}|{_SHORT}\.?){_WHEN}\s*[)\]]"
    rf"|[\s,;:\-–—*/]*\b{_SAID}\b{_WHEN}\s*\*?|[\s,;\-–—]*(?<!\w)(?:†|✝|q\.?\s?e\.?\s?p\.?\s?d\.?(?!\w)|r\.i\.p\.?){_WHEN}"
    r"|[\s,;:\-–—*/]*[(\[]\s*(?:1[89]|20)\d\d\s*[-–—]\s*(?:19|20)\d\d\s*[)\]]"  # (1940-2022)
    rf"|^\s*{_OF}\s+|^\s*[(\[]\s*late\s*[)\]]|^\s*est(?:ate|\.)?\s*[:\-–—]\s*|[\s,;:\-–—]*\*+\s*(?:dead|dec\.?|rip)\s*\*+"
    # What is a name elsewhere is none at the end: "Pat Lee, RIP", "Pat Lee Estate", "Lee's estate".
    rf"|(?<=\w)(?:\s*,\s*|\s+[\-–—*]*\s*)r\.?\s?i\.?\s?p\.?{_WHEN}[\s*]*$|^\W*(?-i:R\.?I\.?P\b\.?)[\s:,*\-–—]+(?=\w+\s+\w)(?-i:(?=.*[a-z]))|(?:'s)?(?<=[\w'])\s*,?\s+(?:[\-–—/]\s*)?\(?estate(?:\s+(?:acct|account|a/c))?\.?\)?\s*$"
    r"|(?<=\w)\s*\+\s?(?:19|20)\d\d\s*$|(?<=\w)[\s,]+d\.?\s*(?:\d{1,2}/)*(?:19|20)\d\d\s*$"
    rf"|(?<=\w)\s*[,;:/\-–—]+\s*(?:passed|dead|dec\.?|dcd){_WHEN}\s*$|(?<=\w)[\s,;(\[\-–—]+{mourning.DATED}\s*[)\]]?\s*$"
    r"|(?<=\w)\s*[(\[]\s*(?:the\s+|now\s+)?late\s*[)\]]|(?<=\w)\s*[(\[]\s*(?:now\s+)?gone\s+(?:in\s+|since\s+)?(?:\d{1,2}[/\-])*(?:19|20)\d\d\s*[)\]]|(?<=\w\s)\w[\w'’.]*\s*(?:,|\s[\-–—])\s*late\s*$",
    re.IGNORECASE,
)
_BRACKETED = late(r"[\s,;:\-–—*/]*[(\[]([^()\[\]]+)[)\]]|\s+[\-–—]+\s+(\S.*)$|\s*[,;]\s+(\S.*)$")

_MONTH = (
    r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?|spring|summer|fall|autumn|winter|"
    r"the\s+(?:spring|summer|fall|winter|night)|hospital|hospice|her\s+sleep|his\s+sleep"
)
_PASSED = (
    r"passed(?:\s+(?:away|over(?!\s+(?:for|by)\b|\s+the\s+(?!summer|winter|weekend|holiday|night|year|fall|spring))|peacefully|suddenly|recently|unexpectedly|quietly|early|yesterday|today|last|this|back)\b"
    rf"|\s+(?:on|in|at|around|about)?\s*(?:the\s+)?(?:\d\w*|{_MONTH}|(?:mon|tues|wednes|thurs|fri|satur|sun)day)"
    r"|\s+on(?=\s*(?:[.,;:!)]|$))|(?=\s*(?:[.,;:!)(\-–—]|$))|\s+(?:from|of)(?=\s))"
)
# In kinder words.
_KINDLY = (
    r"(?:(?:went|gone|passed)\s+(?:on\s+)?(?:home\s+)?to\s+(?:be\s+with\s+(?:jesus|god|christ|(?:the|our|his|her)\s+(?:lord|savior|maker))|glory|(?:his|her|their)\s+(?:rest|reward|maker))"
    r"|called\s+(?:home|up|away)?\s*(?:by|to)\s+(?:god|jesus|the\s+lord|glory|heaven|(?:his|her)\s+(?:rest|reward))|promoted\s+to\s+glory|with\s+(?:jesus|god|the\s+angels)\s+now"
    r"|heart\s+(?:gave\s+out|stopped|failed)|(?:no\s+longer|not)\s+among\s+(?:the\s+living|us)|(?:is|was|are)\s+survived\s+by|survived\s+by\s+(?:his|her|their|a|two|three|four|five|six|one|\d+|wife|husband|children|sons?|daughters?)"
    r"|(?:left|departed|passed\s+from)\s+this\s+(?:world|life|earth)|dearly\s+departed|departed\s+(?:this|(?:on|in)?\s*(?:\d|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?\s+\d))|crossed\s+over(?!\s+(?:to|into|from|the))|slipped\s+away\s+(?:peacefully|in|on|last|this|during|after)"
    r"|breathed\s+(?:his|her|their)\s+last|gave\s+up\s+the\s+ghost|kicked\s+the\s+bucket(?!\s+over)|entered\s+(?:into\s+)?(?:eternal\s+)?rest|eternal\s+rest|(?:fell\s+)?asleep\s+in\s+(?:christ|the\s+lord|jesus)|met\s+(?:his|her|their)\s+maker|in\s+a\s+better\s+place\s+now"
    r"|perished|took\s+(?:his|her|their)\s+own\s+life|murdered|slain|interred|(?:his|her|their)\s+ashes|coroner(?!['’]?s|\s+office)|condolences\s+to|did(?:n['’]?t|\s+not)\s+(?:survive|pull\s+through|make\s+it\s+(?:through|out\s+of|past|after)\s+(?:the\s+|his\s+|her\s+)?(?:night|surgery|operation|hospital|icu|accident))"
    r"|(?:covid|cancer|a\s+stroke|pneumonia|als|the\s+virus)\s+(?:took|got|killed)\s+(?:him|her|them)|attended\s+(?:his|her|their)\s+(?:memorial|wake|viewing|service)"
    r"|lost\s+(?:him|her|them)\s+(?:in|to)\s+(?:a|the|an)\s+(?:flood|fire|accident|crash|wreck|war|storm|tornado|stroke|heart\s+attack|overdose|virus)|(?:he|she)(?:['’]?s|\s+is|\s+has\s+been)\s+gone(?=\W*$|\s*[,;.]|\s+(?:now|from\s+us|since\s+\w+\W*$))"
    r"|se\s+nos\s+(?:fue|adelant[oó])|ya\s+descansa|pas[oó]\s+a\s+mejor\s+vida|parti[oó]\s+(?:con\s+(?:el\s+señor|dios)|de\s+este\s+mundo)|(?:est[aá]|se\s+fue)\s+(?:en\s+el\s+cielo|al\s+cielo|con\s+dios|con\s+el\s+señor)|dej[oó]\s+de\s+existir|perdi[oó]\s+la\s+vida|l[oa]\s+(?:perdimos|mataron|enterramos|enterraron)|sepult\w+|sepelio|velorio|entierro)"
)
_IN_NOTE = late(
    rf"\b(?:{_SAID}|{_KINDLY}|{_PASSED}|passing\s+of|rip|r\.i\.p|q\.?e\.?p\.?d|est(?:ate|\.)?\s+of"
    r"|(?:the|his|her|their|to|by|in|now)\s+estate(?!\s+(?:sale|plan|agent|tax))|estate\s+(?:c/o|care\s+of|settled|closed|executor|attorney|handles|pays|pending|open|call|contact|acct|account)|in\s+memoriam"
    r"|(?:is|was|he'?s|she'?s|now|found|presumed|reported)\s+dead|no\s+longer\s+(?:with\s+us|living|alive)(?!,?\s+(?:moved|quit|left))"
    r"|not\s+living|funeral|obit(?:uary)?|memorial\s+(?:service|serv|svc|mass|acct|account)|taken\s+(?:from\s+us|by\s+(?:cancer|covid|illness|a\s+stroke))|celebration\s+of\s+life|lost\s+(?:his|her|their)\s+(?:\w+\s+)?(?:battle|fight|life)"
    r"|we\s+(?:have\s+)?lost\s+(?:him|her|them|(?-i:[A-Z])\w+)(?!\s+(?:touch|contact|track|power|water|heat|on\s+the\s+(?:way|road)|in\s+the\s+(?:crowd|woods|parking)|at\s+the|for\s+a))|lost\s+to\s+(?:cancer|covid)"
    r"|lost\s+(?:him|her|them)\s+(?:to|in|on|this|last|suddenly|unexpectedly|\d)(?!\s*(?:the\s+(?:crowd|woods|parking|store|barn|way|road|shuffle|mail|list)|another|our|a\b))|succumbed|drowned(?!\s+(?:her|his|my|the|a)\b)|suicide|fatally|fatal\s+(?:\w+\s+)?(?:accident|crash|wreck|fall|attack|stroke|injur\w+|shooting|illness|overdose|collision|fire)|laid\s+to\s+rest|burial|buried|cremat\w+|(?:his|her|their|member'?s?)\s+passing"
    r"|killed\s+(?:in|by|on|at|while)|death|demise|execut(?:or|rix)|probate|(?:in|to)\s+heaven|with\s+the\s+lord|gone\s+home\s+to"
    r"|muert[oa]|descans[ae]\s+en\s+paz|en\s+paz\s+descanse|ya\s+no\s+(?:est[aá]|vive)\s*(?:con\s+nosotros)?|deceso|defunci[oó]n)\b"
    r"|†|✝|^\W*(?:the\s+)?estate\b(?=\W*$|\s*[\-–—:,;/(])|^\W*in\s+(?:loving\s+)?memory\W*$|^\W*(?:dead|dec|dcd|passed(?:\s+on)?|d|d\.?e\.?p)\.?\s*(?:\d[\d/.\-]{2,9})?\W*$|^passed\s+on\b"
    rf"|{mourning.TOLD}",
    re.IGNORECASE,
)
# What is said of somebody or something else, or of nobody's death.
_THING = (
    r"(?:batter(?:y|ies)|phone|cell|car|truck|van|tractor|engine|starter|computer|laptop|printer|freezer|fridge|stove|plants?|seeds?|"
    r"page|screen|website|internet|wi-?fi|tablet|browser|app|trees?|hens?|chickens?|rooster|cows?|goats?|sheep|lambs?|pigs?|bees|hive|dogs?|cats?|horse|pony|pets?|gardens?|tomatoes|crops?|link|account|perr[oa]s?|gat[oa]s?|vacas?|caballo|gallinas?|tel[eé]fono|celular|carro|troca|bater[ií]a|computadora)"
)
_DIED = r"(?:died|killed|buried|cremated|perished|interred|murdered|drowned|passed|deceased|dec(?:ea)?'?s?d|dead|death|fallec\w+|muri[oó]|muert[oa])"
_ELSE = late(
    rf"\b(?:widow(?:er)?|viud[oa]|surviving\s+\w+|survivor|relict)\s+(?:of|de)\b.*"
    rf"|\b(?:late|deceased|difunt[oa]|finad[oa])\s+(?:\w+\s+)?{KIN}\b"
    rf"|\b(?:{KIN}|{_THING})(?:'s)?(?:\s+(?!died|passed|he\b|she\b|they\b|since\b|when\b|after\b|until\b)[\w.]+){{0,2}}\s+(?:just\s+|recently\s+|also\s+|has\s+|had\s+|have\s+|is\s+|was\s+)*{_DIED}\b(?:\s+away)?"
    rf"|\b(?:death|passing|loss|funeral|estate|memory|obituary|demise)\s+(?:of|for|de)\s+(?:(?:her|his|their|my|a|an|the|our|su)\s+)?(?:late\s+)?(?:{KIN}|{_THING})\b"
    rf"|\b(?:{KIN}|{_THING})(?:'s|s')\s+(?:death|passing|funeral|estate|obituary|memorial)\b(?:\s+service)?"
    rf"|\b(?:{KIN})\s+of\s+the\s+late\b|\bmuri[oó]\s+(?:su|el|la)\s+(?:{KIN}|{_THING})|\bfalleci[oó]\s+(?:su|el|la)\s+{KIN}|\bacab[aó]\s+de\s+(?:fallecer|morir)\s+(?:mi|su|el|la)\s+{KIN}"
    r"|\bdied\s+(?:hair|wool|yarn|eggs|cloth|fabric|red|blue|green|pink|purple)\b|\bmuert[oa]s?\s+de\s+(?:risa|hambre|fr[ií]o|sue[ñn]o|miedo|cansancio|sed|calor)|\bbur(?:y|ied)\s+the\s+hatchet|\bpassed\s+(?:\w+\s+){0,3}(?:test|exam|class|inspection|course|audition|quiz)\b"
    r"|\b(?:does|writes|issues|handles|sells|reads|files|practices|teaches)\s+(?:\w+\s+)?(?:death|obituar|funeral|probate|estate|burial)\w*|\bprobate\s+(?:lawyer|attorney|clerk|judge|court)\b"
    r"|\b(?:lives?|living|next|rides?|helps?|drives|near|beside)\b[^.;,]{0,12}\b(?:the|a)\s+widow\w*"
    r"|\bburied\s+(?:in|under|with)\s+(?:work|snow|paper\w*|e?mails?|bills|orders?|laundry|homework|the\s+(?:snow|garden|yard|freezer|back))"
    rf"|\b(?:lost|buried)\s+(?:(?:my|our|her|his|their)\s+)?{KIN}\b"
    rf"|\b(?:perd[ií]|perdimos|perdi[oó]|enterr[eé]|enterramos|enterr[oó])\s+a\s+(?:mi|su|nuestr[oa])\s+{KIN}\b"
    r"|\bdied\s+(?:laughing|of\s+laughter|down|out|on\s+(?:me|us|her|him|them))|\b(?:dead|death)\s+(?:batter\w+|end|line|link|heat|tired|phone|by|bolt|serious)\b"
    rf"|\b(?:sympath\w+|condolen\w+|p[eé]same|goodbye|prayers?|misa|rosary)\b[^.;]{{0,20}}\b(?:for|about|on|over|after|por)\s+(?:(?:the|her|his|their|my|our|su)\s+)?(?:\w+\s+of\s+(?:her|his|their)\s+)?{KIN}\b.*"
    r"|\bburial\s+(?:plots?|grounds?|sites?|mounds?|hill|society|insurance|vaults?)\b|\bdied[\-\s]+in[\-\s]+the[\-\s]+wool|\bin\s+heaven\s+(?:about|over|with\s+(?:the|all|these|those)|when|every|at\s+the)|\bmade\s+in\s+heaven|\bto\s+heaven\s+and\s+back|\b(?:to\s+high|thank)\s+heaven"
    r"|\brip\s+(?:rd|road|st|street|ln|lane|rap|tide|cord|saw|van|current|in(?=\s))\b"
    rf"|\bexecut(?:or|rix)\s+(?:for|of|to)\s+(?:her|his|their|my|a|an)\s+{KIN}\b"
    r"|\breal\s+estate\b|\bestate\s+(?:plan\w*|sale|agent|tax\w*)|\b(?:check|test|exam|inspection|bill|deadline|training|class|course|date)\s+passed\b"
    r"|\bpassed\s+(?:along|out|by|the|her|his|their|a|an|it|up|down|around|through|all|on\s+(?:the(?!\s+\d)|a|an|some|any|it|her|his|their|this|that|our|to))\b|\b(?:at|to|for|after|before|from|plays|sings|flowers)\s+(?:a\s+|the\s+)?funerals?\b"
    r"|\bfuneral\s+(?:home|director|parlou?r|potato\w*|lunch\w*|hotdish\w*|ham|choir|singer|committee|ladies|guild|flowers\s+business)|\bobit\w*\s+(?:writer|editor|desk|page)|\bestate[\-\s](?:grown|bottled|wine|coffee|jewel\w*|car)\b|\b(?:my|to|over\s+my)\s+(?:dead\s+body|death)\b"
    r"|\bdeath\s+and\s+(?:dying|taxes)|\bpassed\s+on\s+\w+ing\b|\bin\s+(?:loving\s+)?memory\s+of\s+(?:her|his|their|my)\b|\brip\s*(?:-|off|up|en|ley|ped)",
    re.IGNORECASE,
)
# How a caller says so; a name such as Rip or a street such as Burial Hill does not.
_ALOUD = late(
    rf"\b(?:{_SAID}|{_PASSED}|(?:is|was|he'?s|she'?s|now)\s+dead|no\s+longer\s+(?:with\s+us|living|alive)|passing\s+of"
    r"|(?:his|her|their)\s+(?:death|passing|funeral|estate|obituary)|estate\s+of|executor|executrix"
    r"|(?:est[aá]|hab[ií]a)\s+muert[oa]|ya\s+no\s+est[aá]\s+con\s+nosotros)\b"
    rf"|\b(?:we|i)\s+(?:just\s+|have\s+)*(?:lost|buried)\s+(?:him|her|(?:(?:my|our)\s+)?{KIN})\b|\bmy\s+late\s"
    r"|\bacab[aó]\s+de\s+(?:fallecer|morir)\b"
    rf"|\b(?:perd[ií]|perdimos|enterr[eé]|enterramos)\s+a\s+(?:mi|nuestr[oa])\s+{KIN}\b"
    r"|\b(?:he|she)(?:['’]?s|\s+is)\s+gone\s+(?:now|from\s+us|these|\w+\s+(?:weeks?|months?|years?))\b",
    re.IGNORECASE,
)
# Who tells it: then "mom has died" is the member.
_TOLD = late(
    r"\b(?:says?|said|called|calls|told|tells|wrote|writes|reports?|reported|e-?mailed|phoned|informed|notified|let\s+us\s+know|"
    r"per|according\s+to|dice|dijo|cuenta|llam[oó]|llama|avis[oóa]|escribi[oó]|inform[oóa]|seg[uú]n)\b",
    re.IGNORECASE,
)
# The words of it that may be in a cell for an address, an email or a phone.
_IN_CELL = late(
    rf"\b{_SAID}\b|\best(?:ate|\.)?\s+of\b|\bc/o\s+(?:the\s+)?estate\b|\bexecut(?:or|rix)\b|†|✝|\b(?:he|she|member|has)\s+passed\b|^\W*estate\s*[:\-–—,]|^\W*(?:(?:\w+\s+)?(?:in|to)\s+)?(?:heaven|(?:the\s+)?cemetery|el\s+cielo)\W*$|^\W*(?:r\.?i\.?p|dead|passed|dec|q\.?e\.?p\.?d)\W*(?:\d[\d/.\-]*)?\W*$"
    rf"|^\W*{mourning.DATED}\W*$",
    re.IGNORECASE,
)
# One of these is in every text that says so, in small letters: looked for first, as few texts have one.
_MARKS = (
    "dec", "dcd", "died", "passe", "passing", "late ", "estate", "est. of", "est of", "dead", "finad", "fallec",
    "difunt", "muri", "muert", "rip", "r.i", "q.e", "q. e", "qep", "(d", "[d", "( d", " d.", " d 1", " d 2", "†", "✝",
    "‡", "no longer", "not living", "funeral", "obit", "memor", "celebration of", "lost", "killed", "death", "demise",
    "execut", "probate", "heaven", "the lord", "gone home", "heirs", "paz", "ya no", "succumb", "drown", "suicide",
    "taken ", "+2", "+ 2", "+1", "+ 1", "perd", "enterr", "falle", "morir", "gone ", "fatal", "laid to", "buri", "cremat", "\nd.", "late)", "late]", " late\n", "\ndep\n", "\ndep ", "\ndep.", "(dep", "d.e.p", "deceso", "defunci", "sucesi", "dcsd", "desea", "deace", "dicea",
    "to be with", "to glory", "to his re", "to her re", "their re", "maker", "called ", "god now", "jesus now", "angels now", "heart ", "among ", "survived by",
    "this world", "this life", "this earth", "departed", "crossed over", "slipped away", "breathed", "the ghost", "the bucket", "eternal", "into rest", "entered rest", "asleep in",
    "better place", "perish", "own life", "murder", "slain", "interr", "ashes", "coroner", "condol", "est:", "est.:", "est -",
    "nos fue", "nos adelant", "survive", "pull through", "make it ", "took ", "got h", "attended ", "descansa", "mejor vida", "parti", "cielo", "con dios", "señor", "de existir", "la vida", "mataron", "sepult", "sepelio", "velorio", "entierro", "cemetery", "(19", "(20", "(18", "[19", "[20",
)  # fmt: skip
_MARKED = late(any_of(_MARKS))
_NOTED = late(any_of((*_MARKS, *mourning.MARKS)))
LONGEST = 5_000  # characters read of a note


def may_say_so(texts: Iterable[str], notes: Iterable[str] = ()) -> bool:
    """Whether one of the texts, or of the notes, is worth a closer look."""
    return _has(_MARKED, texts) or _has(_NOTED, notes)


def _has(marks: re.Pattern[str], texts: Iterable[str]) -> bool:
    text = "\n".join(("", *texts, "")).lower()
    return marks.search(text) is not None


def beside(said: str) -> tuple[str, str]:
    """The name without the words beside it that say so, and these words; "" if there are none.

    >>> beside("Obie Marsh (deceased 2019)"), beside("Pat Lee")
    (('Obie Marsh', '(deceased 2019)'), ('Pat Lee', ''))
    """
    found = _BESIDE.search(said) or _told_beside(said)
    if not found:
        return said, ""
    rest = " ".join(f"{said[: found.start()]} {said[found.end() :]}".split()).strip(" *")
    if found[0].strip() == "Late" and " " not in rest:
        return said, ""  # a first name of Tonga
    return rest, found[0].strip(" ,;:-–—*/")


def _told_beside(said: str) -> re.Match[str] | None:
    """What is set off from the name by brackets, a dash or a comma, and says so in a sentence."""
    for found in _BRACKETED.finditer(said):
        if _says_so(next(filter(None, found.groups()))):
            return found
    return None


def by_name(said: str, words: str) -> Finding:
    """The finding about a name beside which these words were."""
    note = (
        f"Next to the name it says “{_short(words)}”. Ask the family or the host, gently. Send nothing "
        "until you know."
    )
    return BY_NAME.found(said, note)


def in_notes(notes: Iterable[str]) -> tuple[Finding, ...]:
    """A finding for each note that says so of the member.

    >>> [f.said for f in in_notes(["Has a truck.", "Passed away 5/2020", "Widow of Hal, who died"])]
    ['Passed away 5/2020']
    """
    return tuple(
        ASIDE.found(
            text, f"A note says “{_short(text)}”. Ask who has died before you send anything."
        )
        for text in notes
        if _says_so(text[:LONGEST])
    )


def _says_so(text: str) -> bool:
    if not _IN_NOTE.search(text):
        return False
    return bool(_TOLD.search(text) or _IN_NOTE.search(_ELSE.sub(" ", text)))


def said_by_caller(text: str, *, for_another: bool) -> bool:
    """Whether a caller says that the one who is meant has died; `for_another` if they speak of another
    than themselves: then "my husband died" is about the member.

    >>> said_by_caller("for my husband Al Moor, he passed away", for_another=True)
    True
    >>> said_by_caller("Ann Moor, my husband died, I need a password", for_another=False)
    False
    """
    text = text[:LONGEST]
    if not may_say_so((text,)):
        return False
    return bool(_ALOUD.search(text if for_another else _ELSE.sub(" ", text)))


def in_cells(cells: Iterable[str]) -> tuple[Finding, ...]:
    """A finding for each cell for something else, such as an address or an email, that says so.

    >>> [f.said for f in in_cells(["dec'd 2024", "12 Estate Dr", "rip@example.org"])]
    ["dec'd 2024"]
    """
    return tuple(
        ASIDE.found(
            text,
            f"In the list it says “{_short(text)}”. Ask who has died before you send anything.",
        )
        for text in cells
        if _IN_CELL.search(text[:LONGEST])
    )


def clean(said: str) -> Cleaned[str]:
    """A text that may be a name or a note, without the words that say that somebody died."""
    rest, words = beside(said)
    named = (by_name(said, words),) if words else ()
    return Cleaned(said, rest, named + in_notes([said]))


def _short(text: str) -> str:
    shown = " ".join(secret.hidden(text[:LONGEST]).split())
    text = "".join(c if c.isprintable() else "·" for c in shown)
    return text if len(text) <= 60 else text[:59] + "…"
