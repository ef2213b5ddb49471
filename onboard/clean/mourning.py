"""How lists of members tell of a death without naming it: by the day, by whose hands somebody is in, by who takes
over, by what the family and the co-op do then. English and Spanish; each class by its parts, not by its phrases.
"""

from __future__ import annotations

KIN = (
    r"(?:husbands?|wife|spouse|partner|mother|mom|mum|father|dad|parents?|sons?|daughter|brother|sister|uncle|aunt|cousin|"
    r"nephew|niece|grand\w+|child|baby|friend|boyfriend|girlfriend|fianc[eé]+|ex(?:-?(?:husband|wife))?|step\w+|twin|in-?laws?|coworker|classmate|teacher|pastor|landlord|landlady|tenant|caregiver|neighbou?r|boss|host|roommate|(?:mother|father|brother|sister|son|daughter)-in-law|"
    r"espos[oa]|marido|mujer|madre|mam[aá]|padre|pap[aá]|hij[oa]|herman[oa]|abuel[oa]|t[ií][oa]|amig[oa]|vecin[oa]|sueg?r[oa]|cu[ñn]ad[oa]|prim[oa]|niet[oa]|sobrin[oa]|yerno|nuera)"
)
_MONTH = r"(?:(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|ene|abr|ago|dic)[a-z]*\.?)"
_YEAR = r"(?:(?:19|20)\d\d)"
_DATE = (
    rf"(?:(?:\d{{1,2}}[/.\-]){{0,2}}{_YEAR}|\d{{1,2}}[/.\-]\d{{1,2}}[/.\-]\d\d|\d{{1,2}}/\d\d(?=\W*$|\s*[,;.)])"
    rf"|{_MONTH}\s*(?:\d{{1,2}}(?:st|nd|rd|th)?,?\s*)?'?(?:{_YEAR}|\d\d(?!\d))|\d{{1,2}}\s+{_MONTH}\s+{_YEAR})"
)
# "d. 2/2025", but not "Apt. D. 2025".
DATED = (
    r"(?<![\w.'’])(?<!apt )(?<!apt\. )(?<!unit )(?<!lot )(?<!bldg )(?<!size )(?<!route )(?<!type )(?<!plan )(?<!vitamin )"
    rf"d(?:\.?\s?o\.?\s?d)?(?:\.\s*:?|\s*:|(?=\s|\d))\s*(?:on\s+|in\s+|en\s+)?{_DATE}(?![\w/])"
)
_DAY = (
    rf"(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\b|{_MONTH}\s+\d|\d{{1,2}}[/\-]\d|\d{{1,2}}(?:st|nd|rd|th)\b"
    r"|today|tomorrow|tonight|yesterday|(?:this|next|last)\s)"
)

# In whose hands somebody is: "went home to the Lord", "God took her", "Dios se lo llevó"; not "the Lord's Pantry".
_LORD = (
    r"(?:(?:the|our|his|her|their|el|nuestro|su)\s+(?:good\s+|heavenly\s+|blessed\s+)?(?:lord|savio(?:u)?r|creator|maker|redeemer|shepherd|father(?=\s+in\s+heaven)|heavenly\s+father|angels|ancestors|saints|señor|creador)"
    r"|god|christ|jesucristo|dios|los\s+[aá]ngeles|angels|(?<!by\s)jes[uú]s(?!\s+(?-i:[A-Z])\w))(?!['’]?s\b|\w)"
)
_TO_THE_LORD = (
    r"(?:(?:went|gone|going|passed|called|taken|carried|returned|flew|received|gathered|welcomed|safe|home|up|asleep|resting|rests|sleeps|dances|dancing|singing|sings|walks|walking)"
    rf"(?:\s+(?:on|up|off|back|now|safely|peacefully|home|away|asleep)){{0,3}}|(?:is|he's|she's|they're)(?:\s+(?:now|home|safe|at\s+home|up\s+there|at\s+rest|resting)){{0,2}})\s+(?:to\s+be\s+with|to|with|by|in\s+the\s+arms\s+of|among|in|unto|before)\s+{_LORD}"
    rf"|\bheaven\s+(?:gained|got|has)\s+an(?:other)?\b|\b(?:god|lord)\s+rest\s+(?:him|her|them|his|her|their)\b|\b(?:en\s+gloria|que\s+dios\s+l[oa])\s+(?:est[eé]|tenga)\b|\b(?:joined|met|meet)\s+{_LORD}|\b{_LORD}\s+(?:has\s+|have\s+)?(?:took|taken|called|needed|received|gained|got|gathered|brought|carried|welcomed|wanted)\s+(?:him|her|them|another|(?-i:[A-Z])\w+)\b(?!\s+to\s+(?:the|our|a)\s+(?:co|group|church))|\b{_LORD}\s+came\s+(?:for|to\s+take)\s+(?:him|her|them)\b"
    r"|\b(?:dios|el\s+señor|diosito)\s+(?:ya\s+)?(?:se\s+)?l[oae]s?\s+(?:llev|llam|recog|mand[oó]\s+llamar|quit)\w*"
    r"|\b(?:est[aá]|anda|ya\s+est[aá]|goza|descansa|duerme|se\s+fue|fue|parti[oó]|volvi[oó])\s+(?:\w+\s+)?(?:con|a|en|junto\s+a)\s+(?:los\s+brazos\s+de[l]?\s+|la\s+gloria\s+(?:de\s+|con\s+)?|la\s+presencia\s+de[l]?\s+|presencia\s+de[l]?\s+)?(?:dios|el\s+señor|señor|jes[uú]s|los\s+[aá]ngeles|el\s+padre|la\s+gloria)\b"
)

# Who speaks and acts for somebody now: a widow who does something is not the member.
_HEIR = r"(?:widow(?:er)?|viud[oa]|heirs?|surviving\s+(?:spouse|wife|husband|partner|son|daughter|sister|brother)|executor|executrix|albacea|herederos?)"
_DOES = (
    r"(?:will|would|wants?|to|has|had|may|can|might|took|takes|taking|keeps?|is|asked|asks|called|calls|said|says|told|handles?|handling|continues?|picks?|pays?|paid|orders?|ordering"
    r"|uses?|using|wrote|phoned|emailed|closed|cancell?ed|reports?|reported|inherit\w*|inquir\w*|moved|moving|sold|now\s+(?:has|uses|orders|pays|runs|handles|picks|is)|va|quiere|sigue|pide|llam[oó]|dijo|se\s+queda|maneja|recoge|avis[oó]|paga)"
)
_HEIRS = (
    rf"(?<!\ba\s)(?<!\bis\s)(?<!\ban\s)(?<!\buna\s)(?<!\bun\s)(?<!\bes\s)(?<!\bas\s)(?<!\bher\sthe\s)\b{_HEIR}\b(?:\s+\(?(?-i:[A-Z])\w+\)?)?\s+{_DOES}\b"
    rf"|\b(?:his|her(?!\s+(?:own|self))|their|the(?!\s+other)|su|la|el|contact|call|ask|phone|e-?mail|notify|see|bill|to|in|under|by|with|from|per|via|care\s+of)\s+{_HEIR}\b(?!\s+(?:next\s+door|across|down|of|up|on|at|neighbou?r|vecina|amiga|hermana|madre|mam[aá]|t[ií]a|abuela|suegra))(?:['’]s)?"
    rf"|\b{_HEIR}['’]s\s+(?:name|account|acct|address|email|phone|number)\b|\b(?:account|acct|share|box|membership)\s+(?:went|goes|passed|passes|left|willed|transferred)\s+to\s+(?:his|her|their|the)\s+{KIN}"
    r"|(?<!real\s)\b(?:for|from|per|c/o|via|contact|atty|attorney|lawyer|trustee|administrator|rep(?:resentative)?|rep|trustee\s+of)\.?\s+(?:the\s+)?estate\b(?!\s+(?:sale|agent|tax|plan))"
    r"|\b(?:settl|clos|handl|manag|administ|sell|divid)\w*\s+(?:the\s+|his\s+|her\s+|their\s+)?estate\b(?!\s+(?:sale|agent|tax|plan))"
    r"|\b(?:wife|husband|spouse)\s+is\s+(?:now\s+)?a\s+widow|\bmoment\s+of\s+silence\b"
    rf"|\b(?:{KIN}|he|she|kids|children)\s+(?:inherits?|inherited)\s+(?:the|his|her|their)\s+(?:share|account|acct|box|membership)\b|\b(?:home|gone)\s+(?:on\s+)?to\s+glory\b"
    r"|\bnext\s+of\s+kin\s+(?:called|says|said|asked|wrote|told|reports?|notified|closed|closing)\b"
)
_LEFT_BEHIND = (
    r"(?<!on\sthe\s)(?<!on\shis\s)(?<!on\sher\s)(?<!\ban\s)(?<!real\s)\bestate\s+(?:is|was|being|will|wants|asked|owes|gets|has\s+(?:asked|been|a\s+lawyer|an\s+attorney)|lawyer|executor|to\s+(?:close|settle|pay))\b"
    rf"|\bsurvivors?\s*:|\bsurvivors?\s+(?:are|include)\b|\b(?:leaves|leaving|left)\s+(?:behind\s+)(?:an?|his|her|their|two|three|four|five|six|many|\d+)\s+(?:\w+\s+)?(?:{KIN}|kids|children|boys|girls)\b"
    rf"|\b(?:dej[oó]|deja)\s+(?:una?\s+)?(?:viud[oa]|hu[eé]rfan\w+)\b|\bleft\s+us\s+(?:too\s+(?:soon|early|young)|so\s+(?:suddenly|soon|young)|suddenly|peacefully|unexpectedly|forever|in\s+(?:his|her|their)\s+sleep|after\s+an?\s+(?:long|short|brief|hard)|(?:on\s+|at\s+|around\s+)?(?:christmas|easter|thanksgiving|new\s+year))"
    r"|\bnos\s+dej[oó](?=\W*$|\s+(?:en|el|ayer|hace|este|esta|tras|despu[eé]s|muy|para\s+siempre|de\s+repente|la\s+semana))"
)

# Whoever did not come back from it: "never woke up", "didn't make it through surgery".
_CAUSE = r"(?:an?\s+)?(?:stroke|cancer|heart(?:\s+(?:attack|failure|trouble))?|covid(?:-?19)?|pneumonia|aneurysm|sepsis|accident|overdose|leukemia|als|parkinson['’]?s|alzheimer['’]?s|c[aá]ncer|infarto|derrame)\b"
_NO_RETURN = (
    r"\b(?:never|did(?:n['’]?t|\s+not)|couldn['’]?t|could\s+not|nunca|jam[aá]s|ya\s+no)\s+(?:(?:woke|wake|awoke|waken)(?:\s+up)?(?=\W*$|\s*[,;.]|\s+(?:from|after|again|that|this\s+morning|the\s+next))"
    r"|(?:came|come)\s+to(?=\W*$|\s*[,;.])|regain\w*\s+conscious\w*|recover(?:ed)?(?=\W*$|\s*[,;.]|\s+(?:from\s+(?:the|his|her|that|surgery|it|a)\b(?!\s+(?:password|flood|fire|storm))|consciousness))|pull(?:ed)?\s+through"
    r"|(?:came|come)\s+(?:home|back|out)\s+(?:from|of)\s+(?:the\s+|his\s+|her\s+)?(?:hospital|surgery|hospice|icu|operation|coma|er|war)|(?:made|make)\s+it\s+(?:home|out|back)\s+(?:from|of)\s+(?:the\s+|his\s+|her\s+)?(?:hospital|surgery|hospice|icu|operation|wreck|fire|crash|er)"
    r"|be\s+(?:revived|saved|resuscitated)|se\s+(?:despert[oó]|recuper[oó]|levant[oó]\s+de\s+(?:la|esa)\s+cama)|despert[oó]|volvi[oó]\s+del\s+hospital|sali[oó]\s+del\s+hospital)"
    r"|\b(?:never|did(?:n['’]?t|\s+not)|couldn['’]?t)\s+(?:make|made)\s+it\s+(?:through|past|to\s+(?:the\s+)?(?:er|hospital|surgery)|off\s+the\s+table)(?:\s+(?:the|his|her|their|that|this))?(?=\W*$|\s*[,;.]|\s+(?:\w+\s+)?(?:chemo\w*|treatments?|radiation|surgery|operation|procedure|transplant|night|winter|illness|covid|it|birth|delivery|weekend)\b)"
    rf"|\blost\s+(?:the|an?|his|her|their|that)\s+(?:long\s+|hard\s+|brave\s+|last\s+)?(?:fight|battle|struggle)(?=\W*$|\s*[\d(,;.]|\s+(?:in|last|on|this|after)\b|\s+(?:with|to|against)\s+{_CAUSE})|\b(?:took|ended)\s+(?:his|her|their)\s+(?:own\s+)?life\b"
    r"|\bexpired\s+(?:peacefully|(?:in|at)\s+(?:the\s+|his\s+|her\s+)?(?:hospital|home|hospice|er|sleep|icu|nursing))|\b(?:is|are|isn['’]?t|not)\s+(?:no\s+more(?=\W*$|\s*[,;.])|alive\b|with\s+us\s+any\s?more)|\bno\s+longer\s+(?:on\s+this\s+earth|here\s+with\s+us)"
    r"|\b(?:croaked|flatlined|autopsy|morgue|medical\s+examiner|bit\s+the\s+dust|pushing\s+(?:up\s+)?daisies|six\s+feet\s+under|pronounced\s+(?:dead|at)|d\.?o\.?a\.?(?=\W*$|\s+(?:at|on)\s)|unalived?)\b"
    rf"|\b(?:gone|taken)(?:\s+(?:since|in|on|as\s+of))?\s*[\d/.\-]*\s*(?:[(\-–—,:]\s*|of\s+|from\s+|by\s+|due\s+to\s+){_CAUSE}"
    rf"|\b{_CAUSE}\s+(?:(?:finally\s+)?(?:took|claimed|killed|beat)\s+(?:him|her|them)\b|(?:se\s+)?l[oa]\s+(?:llev[oó]|mat[oó]))"
)

# What is held, sent and given then.
_STONE = r"(?:head|grave|tomb)stone|casket|coffin|hearse|gravesite|graveside|urn|l[aá]pida|ata[uú]d"
_RITES = (
    r"\bashes\s+(?:were\s+|are\s+|to\s+be\s+)?(?:scattered|spread|buried|laid|interred|sprinkled)\b|\b(?:be|was|is|were)\s+(?:deeply\s+|sorely\s+|dearly\s+|greatly\s+|so\s+)missed\b|\b(?:we|all)\s+(?:will\s+|all\s+|do\s+)?miss\s+(?:him|her|them)\b|\bgone\s+but\s+not\s+forgotten|\b(?:forever|always)\s+in\s+our\s+hearts|\b(?:family\s+(?:is\s+)?(?:mourning|grieving|bereaved)|mourners|posthum\w+|rest\s+in\s+(?:peace|power)|rest\s+easy|may\s+(?:he|she|they)\s+rest|in\s+loving\s+memory|in\s+memory\s+of\s+(?-i:[A-Z])\w+|rests?\s+(?:at|in)\s+(?:\w+\s+){0,3}(?:cemetery|churchyard|mausoleum)|grave\s+(?:is|at|in|marker|site))\b"
    rf"|(?<!church\s)(?<!has\s)(?<!at\s)(?<!to\s)(?<!attends\s)(?<!leads\s)(?<!sunday\s)\b(?:services|memorial|celebration|mass|misa)\s*:?\s+(?:is\s+|are\s+|was\s+|were\s+|will\s+be\s+|held\s+|on\s+|es\s+|fue\s+)*{_DAY}(?!\s*(?:to|through|until|thru|\-)\s)(?!s\b)"
    rf"|\b(?:viewing|visitation|rosary|shiva|interment|inurnment|committal|calling\s+hours|repast|wake|novenario|misa\s+de\s+(?:cuerpo|difuntos))\s*:?\s+(?:is\s+|was\s+|will\s+be\s+|held\s+|on\s+|es\s+|fue\s+)*{_DAY}|\b(?:calling\s+hours|sitting\s+shiva|sat\s+shiva)\b"
    rf"|\b(?:his|her|their|su)\s+(?:wake(?=\s+(?:is|was|will|on|at)|\W*$)|viewing|visitation|interment|{_STONE}|grave(?!l)|last\s+rites|casket)\b|\blast\s+rites\b|\b(?:{_STONE}|wreath|flower|memorial)s?\s+(?:fund|collection|donation|money|is\s+up|was\s+set|set\s+in)\b"
    r"|\b(?:sent|mailed|took|taken|gave|brought|delivered|enviamos|mandamos|dimos)\b[^.;]{0,25}\b(?:sympath\w+|condolen\w+|p[eé]same|wreath|(?:funeral|memorial)\s+flowers)"
    r"|\b(?:sympathy|condolen\w+|p[eé]same)\b[^.;]{0,12}?\b(?:was\s+|were\s+)?(?:sent|mailed|taken|given|delivered|to\s+(?:his|her|the|their)\s+famil\w+|enviad[oa]|dado)\b"
    r"|\b(?:said|say|saying|bid)\s+(?:(?:our|a|the|his|her|their|one)\s+)?(?:last\s+|final\s+)?(?:good-?bye|farewell)\s+to\s+(?:him|her|them|(?-i:[A-Z])\w+)\b|\b(?:last|final)\s+good-?byes?\b|\bnos\s+despedimos\s+de\s+(?:él|el(?=\W)|ella|don|doña|(?-i:[A-Z])\w+)"
    r"|\bpray(?:ers|ing)?\s+for\s+the\s+repose|\brepose\s+of\s+(?:his|her|the)\s+soul|\b(?:his|her)\s+soul\b|\bre?st\s+(?:his|her)\s+soul|\b(?:perdimos|enterramos|velamos|despedimos|sepultamos)\s+a\s+(?:él|ella|don|doña|la\s+se[ñn]ora|el\s+se[ñn]or|(?-i:[A-Z])\w+)\b|\bde\s+luto\s+por\s+(?:él|ella|don|doña)"
)

TOLD = rf"(?:{DATED}|\b(?:he|she)\s+d\.(?=\s)|{_TO_THE_LORD}|{_HEIRS}|{_LEFT_BEHIND}|{_NO_RETURN}|{_RITES})"
# One of these is in every text that tells so, in small letters.
MARKS = (
    "\nd.", "\nd ", "\nd:", "dod", "d.o", "lord", "savio", "creator", "maker", "redeem", "shepherd", "angel", "ángel", "ancest", "saints", "god", "jes", "christ",
    "dios", "father", "padre", "glori", "widow", "viud", "heir", "hered", "survi", "albacea", "executri", "next of kin", "inherit", "willed", " to his", " to her", " to their", " to the ",
    "behind", "left us", "dej", "orphan", "never", "did", "could", "nunca", "jam", "gone", "taken", "claimed", "killed", "beat ", "took ",
    "stone", "casket", "coffin", "hearse", "gravesi", "grave", "urn ", "lápida", "ataúd", "viewing", "visitation", "rosary", "shiva", "interment", "inurn",
    "committal", "calling h", "repast", "wake", "novenario", "misa de", "last rites", "wreath", "flower", "sympath", "condolen", "pésame", "pesame", "goodbye", "good-bye", "farewell",
    "despedimos", "repose", "soul", "luto", "heaven", "rest ", "ashes", "miss", "mourn", "griev", "bereav", "posthum", "services", "memorial", "celebration", "mass ", "perdimos", "enterramos", "velamos", "sepultamos",
    "estate", "lost ", "ended ", "expired", "no more", "alive", "any", "no longer", "croaked", "flatlined", "autopsy", "morgue", "examiner", "dust", "dais", "six feet", "pronounced", "doa", "hearts", "silence", "in memory", "cemetery", "churchyard", "mausol", "en gloria", "tenga", "estate", "revived", "saved", "resusc", "he d", "she d",
)  # fmt: skip
