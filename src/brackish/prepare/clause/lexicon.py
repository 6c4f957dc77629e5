# SPDX-License-Identifier: MIT
"""The words of contracts, as data: how stage, place, failure, blank and judgement are said.

Each row is a value and the patterns that say it, strongest first. Patterns read the lower-case plain
text of one segment. To teach the reader a new wording, add it to its row here and a sentence to
`tests/prepare/clause/test_wording.py`.
"""

from __future__ import annotations

import re


def _rows(*rows: tuple[str, str]) -> list[tuple[str, re.Pattern[str]]]:
    return [(value, re.compile(pattern)) for value, pattern in rows]


NUMBER = (
    r"(?:\d{1,4}|a pair of|a couple of|half a dozen|a dozen|a|an|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|single)"
)
TEST = r"(?:(?:salt|chloride|conductivity|contamination|patch|separate|individual|random|single|spot|test|sample|surface|soluble|location|sleeve|chlorides|salts)\s+)*(?:tests?|testing|readings?|measurements?|extractions?|determinations?|locations?|places?|spots?|points?|samples?|patches|patch|checks?|verifications?|analys[ei]s|positions?|measuring points?|samplings?|swabs?|extracts?|probes?|sites?|cells?|spot checks?|readouts?|results?|ensayos?|proben?|essais?)"
COAT = r"(?:very first\s+|first\s+|stripe\s+|prime(?:r)?\s+|any\s+|zinc\s+|holding\s+|top\s+|next\s+|primer\s+|powder\s+|epoxy\s+|shop\s+|the\s+|of\s+|a\s+|protective\s+|application\s+(?:of\s+)?|start(?:ing)?\s+(?:of\s+)?)*(?:coat(?:s|ing|ings)?|paint(?:ing|s|work)?|prim(?:er|ing)|lining|powder|application|over-?coat(?:ing)?|stripe|undercoat|top-?coat|metalli[sz]\w+|thermal spray\w*|zinc spray\w*|wrap(?:ping)?|epoxy|zinc silicate|silicate|zinc epoxy|fbe|glass flake|enamel|sealer|build coat|rubber)"
_BLAST = r"(?:grit[ -]?|shot[ -]?|sand[ -]?|abrasive[ -]|dry[ -]|wet[ -]|sweep[ -]|spot[ -]|near[ -]white[ -]|final[ -]|last[ -]|white[ -]metal[ -]|full[ -])*(?:blast(?:ing|ed)?(?:[ -]?clean(?:ing|ed)?)?|surface preparation|secondary surface preparation|preparation of the (?:surface|steel)|derusting|water ?jetting|power tool cleaning|sandblasting)"

STAGES = _rows(
    ("between-coats", r"between (?:the |each |successive |any )?coats|after each coat|before (?:each|every) (?:subsequent|further|next|following|new|succeeding)?\s?coat|before (?:the )?(?:next|second|third|subsequent|finish|intermediate|overcoat\w*|top ?coat)\s?\w*|after (?:the )?(?:first|second|primer|each) coat|inter-?coat|prior to over-?coating|on (?:the )?(?:primed|coated|shop[- ]primed) (?:surface|steel)"),
    ("before-blasting", rf"(?:before|prior to|ahead of|in advance of|preceding|previous to) (?:the |any |commenc\w+ (?:of )?|starting |start of )*(?:{_BLAST})(?!\w)"),
    ("after-washing", r"(?:after|following|upon|on completion of)\s+(?:the\s+|last\s+|each\s+|second\s+|final\s+|completion\s+of\s+|high[ -]pressure\s+|hp\s+|fresh[ -]?water\s+|de-?ioni[sz]ed\s+|potable\s+|low[ -]pressure\s+|water\s+|pressure\s+|any\s+|each\s+|all\s+)*(?:wash(?:ing)?|rins(?:e|ing)|jet[ -]?wash\w*|wash[ -]?down|flushing)\b"),
    ("after-blasting", rf"(?:after|following|follows?|upon|on completion of|once|when)\s+(?:the\s+|final\s+|last\s+|completion\s+of\s+|secondary\s+|each\s+|any\s+|all\s+)*(?:{_BLAST})(?!\w)|{_BLAST}\s+(?:is|has been|are|being)\s+(?:finished|complete\w*|done|over)|(?:once|when|after|as soon as) (?:the )?\w+(?: \w+)? (?:has|have|is|are) (?:been )?(?:{_BLAST})|post[- ]blast\w*|after cleaning|after the last blast|nach dem strahlen|despues del? (?:chorreado|granallado)|apres (?:le )?(?:sablage|grenaillage|decapage)|etter blas\w+|(?:after|following) (?:final |the )?(?:surface )?preparation"),
    ("after-blasting", rf"(?:before|prior to|ahead of|until|immediately prior to|not be (?:coated|painted|primed) (?:until|unless)|at the time of|in advance of|previous to)\s+(?:commenc\w+\s+|start\w*\s+|the\s+|of\s+|any\s+|apply\w*\s+|being\s+|application\s+|it\s+is\s+|proceeding\s+(?:with|to)\s+)*(?:{COAT}|primed|painted|coated|lined)\b|(?:shall|may|must) not be (?:coated|painted|primed)|when the {COAT}|preced\w+ {COAT}|antes de (?:la )?(?:pintura|pintar|aplicacion|primera)|avant (?:la )?(?:peinture|application|mise en)|vor (?:dem )?(?:beschicht\w+|anstrich)|before {COAT}|before (?:the |any )?\w+(?: \w+)? goes on|ready (?:for|to be|to receive) (?:the |its )?(?:{COAT}|painted|coated|primed)|before (?:it|they|any of it) (?:is|are) (?:painted|coated|primed|lined)|(?:no|not any) {COAT} (?:shall|may|is to|can|goes|must)\b|{COAT} (?:shall|may|must|can|is|will|work)\s?(?:not\s)?(?:only\s)?(?:be\s)?(?:begin|start|commence|proceed|started|applied|go on|allowed)[^.;]{{0,25}}(?:until|unless|before|once|when|after|if)"),
    ("after-blasting", r"(?:blast(?:ed)?[ -]?cleaned|blasted|sandblasted|already blasted|freshly blasted)\s+(?!again\b|to\b|and\b|or\b|with\b|until\b|by\b|if\b|in\b|at\b|before\b|after\b|once\b|over\b|areas are\b)[a-z]+|(?:steel|surface|plate|pipe)s? (?:already |freshly |just |newly |so |thus )?(?:sand|grit|shot)?-?blasted|superficie chorreada|gestrahlte\w*"),
)  # fmt: skip
INCOMING = re.compile(
    r"arriv\w+|unload\w+|received|receipt|deliver\w*|incoming|each lot|every lot|per lot|lots\b|consignment|shipment|on arrival|before (?:first )?use|prior to use|certificate|batch(?:es)?\b|as supplied|on receipt|before unloading"
)

_TIME_LIMIT = r"(?:within|not (?:be )?(?:more|later|longer|earlier|exceed\w*|over|before)(?:\s(?:than|of))?|no (?:more|later|longer|earlier) than|at (?:the )?most|at the latest|latest|max(?:imum)?\.?(?:\s(?:of|interval|time))?|less than|shall not exceed|up to|under|last|only|not exceed\w*|limited to|in(?:side)?)"
SOON = re.compile(
    rf"(?:immediately|directly|straight|right|just|shortly)\s+(?:before|prior to|ahead of|preceding)|same (?:shift|day)|without delay (?:before|prior)|(?:immediately|directly|straight) (?:followed by|after\w* (?:the )?tests?)|{COAT} (?:shall |to |must |is to )?follow\w* (?:immediately|at once|directly)|immediately (?:after|following) (?:a |the )?(?:successful |satisfactory |passed )?tests?|(?<![a-z-])(?:prime|coat|paint|line)s?\b[^.;|]{{0,30}}?\b(?:immediately|at once|straight ?away|right away|directly)|(?:immediately|directly|at once|straight ?away|forthwith|promptly|right away|right|at once|just|shortly|without (?:any )?(?:delay|interruption|interval))\b[^.;|]{{0,60}}?\b(?:{COAT}|primed|painted|coated|lined)\b|(?:{COAT}|primed|painted|coated|lined)\b[^.;|]{{0,40}}?\b(?:immediately|at once|straight ?away|forthwith|promptly|right away|without (?:any )?(?:delay|interruption))|same (?:shift|day|afternoon|morning|tide|working day|evening|watch)|before the (?:end of|shift ends)[^.;]{{0,20}}(?:shift|day)?|the day (?:of|it is) (?:{COAT}|painted)"
)
TIME_BEFORE = re.compile(
    rf"(?:time|interval|delay|period|gap|wait)\b[^.;]{{0,60}}?\b(?:coat\w*|paint\w*|prim\w*|test\w*|blast\w*)\s*(?:is\s+|of\s+|:\s*|shall be\s+)?$|{_TIME_LIMIT}\s+(?:the\s+|a\s+|of\s+|about\s+|than\s+|next\s+|by\s+)*$"
)
TIME_CONTEXT = re.compile(r"result|coat|paint|prim|appl|test|blast|lining|extract|reading|pintura|beschicht")
OF_THE_BLAST = re.compile(r"\s*(?:of|after|from|following)\s+(?:the\s+|final\s+|last\s+|end\s+|of\s+|complet\w+\s+|finish\w*\s+)*blast")
NOT_A_WAIT = re.compile(
    r"\bcalled\b|summon|invit|telephon|pot life|shelf|recoat|over-?coat(?:ing|ed)? (?:interval|within|after)|full cure|hardness|\btack|notif|notice|report(?:ed)? (?:to|within)|submit|\bcure|\bcuring|advance|warrant|witness|respon|certificate|inform|dry(?:ing)? time|dwell|until|shake|stir|(?:second|third|further|finish) coat|stand|sent within|hold(?:ing)? time"
)

FULL_KIT = re.compile(
    r"full[- ]kit|on (?:a |an )?(?:piece of |sheet of |pane of |clean |washed |new |bare |unexposed )*(?:glass|acrylic|perspex|stainless)|whole[- ]kit|complete kit|entire kit|(?:whole|full|complete|entire|same) (?:procedure|method|test|kit)[^.;]{0,60}(?:glass|blank)|(?:clean|washed|cleaned)[^.;]{0,25}glass|glass (?:plate|pane|panel|slide)|field blank|procedur\w+ blank|blank (?:test|extraction|run)[^.;]{0,40}(?:kit|glass)|kit blank"
)
BLANK = re.compile(
    r"value of the (?:clean |fresh |pure |test )?water|correct\w* for (?:the )?water|(?:taken off|nothing)[^.;]{0,30}water|glass|zero(?:ed|ing)?\b(?! toler| chlor| salt| holid)|\btare\b|own (?:conductivity|reading|value)|(?:less|minus|net of|without) (?:the |that of the |its )?(?:conductivity of the )?water|corrected for (?:the )?water|reading of (?:the )?(?:clean|unused|fresh|pure) water|starting (?:value|conductivity|reading)|water (?:value|reading|alone)|(?:water|extract|conductivity|meter)[^.;]{0,40}before and after|before and after (?:the )?(?:extract|dwell|inject|test|contact|measur)|\bblanks?\b(?! (?:flange|panel|sheet|form|field|cell))|background (?:conductiv|reading|value|of the water)|baseline|water\b[^.;]{0,60}(?:subtract\w*|deduct\w*|taken off|discount\w*)|(?:subtract\w*|deduct\w*)[^.;]{0,60}water|initial conductivity|conductivity (?:difference|increase|rise)|gamma ?1|unused water|zero reading|(?:read|measured?) the (?:same )?water|increase in conductivity|(?:nullwert|blindwert)|deduct\w*|\bnet (?:of|conductiv)"
)
NO_BLANK = re.compile(
    r"nothing (?:is |shall be )?(?:taken off|subtracted|deducted)|(?:no|without)(?:\s+(?:a|any))?\s+(?:blank|correction for (?:the )?(?:blank|water))|(?:not|need not|never|nor)\s+(?:to\s+)?(?:be\s+)?(?:subtract\w*|deduct\w*|taken off|corrected)|(?:no|without)\s+(?:subtraction|deduction)|blank[^.;]{0,40}(?:not|ignored|neglected)[^.;]{0,20}(?:subtract|deduct|ignored|neglected|taken)"
)
SUBTRACTS = re.compile(
    r"take away|correct for|zeroed|\btare|offset|take(?:n)? away|removed from the (?:reading|result)|subtract|deduct|taken off|discount|difference|minus|less the|correct(?:ed|ion)|net\b|increase|taken away|take off|abgezogen"
)

DECISIONS = _rows(
    ("three-way", r"three[- ]way|3[- ]way|zone of doubt|grey zone|doubtful zone|inconclusive|neither (?:passes|accepted) nor"),
    ("guarded-rejection", r"guarded[- ]rejection|benefit of the (?:doubt|uncertainty)|uncertainty (?:is |shall be |to be |being )?(?:subtracted|deducted|taken off)|(?:reject\w*|fail\w*|refused)\s+only\s+(?:if|when|where)[^.;]{0,120}(?:uncertainty|guard)|only\s+(?:be\s+)?(?:reject\w*|fail\w*)[^.;]{0,120}(?:uncertainty|guard)|(?:result|value|reading)\s+(?:minus|less|reduced by)\s+(?:its\s+|the\s+)?(?:expanded\s+)?(?:measurement\s+)?uncertainty[^.;]{0,40}(?:exceed|above|over|greater|higher)"),
    ("guarded-acceptance", r"guarded[- ]acceptance|(?:limit|acceptance value)[^.;]{0,20}(?:lowered|reduced|tightened) by|add(?:ing)? (?:the |its )?(?:expanded )?(?:measurement )?uncertainty|with (?:the |its )?(?:expanded )?uncertainty added|inclu(?:sive of|ding) (?:the |its )?(?:measurement |expanded )?uncertainty|(?:result|value|reading|mean|amount)s?\s+(?:plus|increased by|together with|\+|with)\s+(?:its\s+|the\s+|their\s+)?(?:expanded\s+)?(?:measurement\s+)?uncertainty|uncertainty\s+(?:\([^)]{0,30}\)\s+)?(?:shall|must|is to|will|to)?\s?(?:be\s+|is\s+)?added|(?:limit|it)\s+(?:less|minus|reduced by)\s+(?:the\s+|a\s+)?(?:guard[ -]?band|(?:expanded\s+)?uncertainty)|plus its expanded uncertainty|in favou?r of the owner"),
    ("simple-acceptance", r"simple[- ]acceptance|(?:no|without (?:a |any )?) ?guard[ -]?band|measured (?:value|figure) (?:alone )?(?:decides|counts|is decisive)|taken as (?:it is )?read|uncertainty (?:is|are|shall be|to be) (?:left out|disregarded|neglected|ignored|not (?:considered|taken|counted))|(?:disregard\w*|neglect\w*|ignor\w*|leav\w+ out) (?:of )?(?:the )?(?:measurement )?uncertainty|uncertainty plays no part|(?:without|no)\s+(?:any\s+)?(?:allowance|regard|consideration|account|deduction|adjustment|addition|correction)\s+(?:is made |being |taken |made )?(?:for|of|to)\s+(?:the\s+)?(?:measurement\s+|measuring\s+)?uncertainty|uncertainty\s+(?:of measurement\s+)?(?:shall|is|will|need)\s?(?:be\s+)?not\s+(?:be\s+|to be\s+)?(?:taken|considered|added|applied|allowed|counted)|shared[- ]risk|face value|as read\b(?=[^.;]{0,30}(?:limit|compar|judg))|ignoring (?:the )?(?:measurement )?uncertainty|uncertainty (?:shall|is to|will) be (?:ignored|disregarded)|irrespective of (?:the )?(?:measurement )?uncertainty"),
)  # fmt: skip
PASS_LESS = re.compile(r"(?:pass\w*|accept\w*)[^.;]{0,80}(?:less|minus|below)[^.;]{0,30}(?:guard|uncertainty)")
FAIL_PLUS = re.compile(r"(?:fail\w*|reject\w*)[^.;]{0,80}(?:plus|above|over)[^.;]{0,40}(?:guard|uncertainty)")
ON_INCONCLUSIVE = _rows(
    ("retest", r"(?:doubt|inconclusive|otherwise|between|grey|neither)[^.;]{0,70}(?:re-?test|repeat|tested again|new test|second test|further test)"),
    ("refer", r"(?:doubt|inconclusive|otherwise|between|grey|neither)[^.;]{0,70}(?:refer|decid|engineer|owner|agreed)"),
    ("reject", r"(?:doubt|inconclusive|otherwise|between|grey|neither)[^.;]{0,70}(?:reject|fail)"),
)

_RESULT = r"(?:extracts?|patches|patch|swabs?|figure|checks?|results?|readings?|values?|tests?|measurements?|determinations?|figures?|extractions?|spots?|locations?|samples?|points?|places?|areas? tested)"
_EACH_WORDS = r"(?:each|every|any|no|all|single|individual)"
EACH = re.compile(
    rf"(?<!report )(?<!record )(?<!submit )\b{_EACH_WORDS}\b(?:\s(?!of\b)\w+){{0,3}}?\s{_RESULT}\b(?!\s(?:shall|must|will|is to|are to|to)\s(?:also\s)?be\s(?:record|report|mark|photo|sign|witness|carried|taken|made|perform|label|document|noted|done|submit))(?=[^.;|]{{0,110}}?\b(?:ok|decides?|counts?|valid|over|higher|keep|exceed\w*|above|over|in excess|below|under|compl\w+|pass(?:es)?|fails?|accept\w*|judged|stands?|on its own|by itself|individually|more than|greater|higher|lower|less|meets?|within|satisf\w+|conform\w*|at or)\b|\s*[<≤]|[^.;|]{{0,20}}<)"
    r"|[,;:(]\s?(?:each|every)\s(?:single\s|individual\s)?(?:result|reading|value)s?(?=\s?[,;.)]|$)"
    rf"|\b(?:each|every|all|no|any)\s(?:one\s)?(?:of\s(?:the|these|them)\s?){_RESULT}?|(?:appl\w+|valid|holds?|meant|counts?|refers?) (?:to|for|on) (?:each|every|all|any)|(?:mg/m2|ug/cm2|us/cm|ms/m|m2|cm2|centimet\w+|met(?:re|er))\s+(?:max\w*\.?\s+)?(?:for\s+)?each\b|judged\s(?:individually|separately|singly|on its own|by itself|alone)|\bindividual(?:ly)?\s(?:{_RESULT}|judged|compl\w+|assess\w+)|each (?:\w+ )?(?:to|must|shall|has to|will) (?:comply|meet|pass|satisfy|be (?:judged|accepted|below|within|at or))|all (?:required )?tests (?:pass|comply)|every one of (?:them|the)|\bno (?:single |one |individual )(?:reading|result|value|test|location)|(?:one|a single)\s(?:failed|failing|high|bad)\s(?:result|reading|test)|(?:one|single|any one)\s(?:reading|result|test)\s(?:above|over|in excess|exceed\w+|greater|higher)|any (?:reading|result|test|value|measurement|location|spot)s?\s(?:that\s|which\s)?(?:exceed\w*|above|over|in excess|greater|higher|more)|(?:highest|worst|largest|greatest|maximum|peak) (?:single |individual |one )?(?:reading|result|value|figure)|one by one|every one\b|none of (?:the|these|them|those)|not one (?:reading|result|of)|any exceedance|each (?:shall|must|is to|has to|to be|not|below|under|at or|<|≤)|(?:on|by) (?:its|their) own|each test by itself|(?:per|for (?:each|every|any)) (?:single )?(?:test|result|reading|measurement)\b(?=[^.;]{{0,40}}(?:limit|exceed|max|applies|valid))|stands? alone|each on its own|not averag\w+|no averaging|shall not be averaged|averag\w+ (?:is|are|shall|of \w+ (?:is|shall)) not"
)  # fmt: skip
NOT_MEAN = re.compile(r"not (?:be )?averag\w+|no averaging|averag\w+ (?:is|are|shall(?: be)?) not|without averaging|mean (?:radius|value of the blank|that)")
MEAN = re.compile(r"\b(?:average[ds]?|averaging|arithmetic mean|mean)\b(?!\s+(?:that|radius|diameter|dft|dry|thickness|low|high|tide|sea))")

EQUIVALENT = re.compile(
    r"\bor\s+(?:an?\s+|any\s+|other\s+|approved\s+|similar\s+|technical(?:ly)?\s+|its\s+|some\s+|another\s+|the\s+)*(?:equivalents?|equal|similar|comparable|alike)\b(?!\s+(?:to\s+)?(?:or\s+)?(?:than|\d|less|nacl|sodium|amount|mg|class|to (?:or|the limit)))(?!\s*(?:to\s+)?\d)"
)
EQUIVALENCE_SHOWN = re.compile(
    r"sp ?0508|validat\w+|proven|proof|evidence|demonstrat\w+|shown (?:to be|by|in|equal)|side[- ]by[- ]side|compar(?:ison|ative) (?:test|panel|trial|series)|correlat\w+|documented|verif\w+ (?:against|by)|16145"
)
DEVICE = re.compile(
    r"meter|kit|sleeve|patch|tube|instrument|device|method|test|8502|11127|d4940|salt|conductiv|chlorid|apparatus|equipment|standard|procedure|cell"
)

PLACE = re.compile(
    r"weld(?:s|ed|ing seams?| toes?| seams?)?\b|\bpit(?:s|ted|ting)\b|horizontal|ledges?|\bedges?\b|corners?|\bjoints?\b|beam ends?|flanges?|\bnodes?\b|lowest|\bbottom\b|waterline|mid-?length|\bends?\b of|one end|each end|both ends|(?:old|former|previous|earlier) (?:coating|paint|corrosion|rust)|corroded|corrosion|crevices?|likely|suspected|suspect areas|unfavou?rabl\w+|critical (?:area|place|location|point)s?|heavi\w+|seaward|low on the|stiffen\w*|bolt(?:s|ed)?\b|shelter\w+|scuppers?|drain\w*|splash side|lee side|windward|under(?:neath| the)|below (?:the )?\w+|shown (?:on|in)|marked (?:on|in)|as per drawing|behind|\btoes?\b|gussets?|bearings?|near the|beside the|adjacent|at the (?:top|middle|centre|center|inlet|outlet)|stagnant|drain|cut-?outs?|underside|upward|facing|exposed to (?:spray|traffic|salt)|rust(?:ed|y)|failed (?:coating|paint)|rank(?:ed)?\b|difficult|lap (?:seams?|joints?)|seams?\b"
    r"|(?P<rule>(?:select\w*|chosen|choos\w+|nominat\w+|designat\w+|mark\w*|indicat\w+|point(?:ed)? out|decid\w+|determin\w+|pick\w*|direct\w*|identif\w+|set|fix\w+|agreed)\s+(?:\w+\s+){0,2}?(?:by|with|between)\s+(?:the\s+|a\s+|both\s+)?(?!contractor|applicator|painter|blaster)(?:\w+'?s?\s+){0,3}?(?:engineer|inspector|owner|surveyor|client|company|representative|authority|purchaser|supervisor|parties|consultant|buyer|superintendent|verifier|inspection|us\b|employer|third party)"
    r"|(?:engineer|inspector|owner|surveyor|client|company|authority|supervisor|representative|purchaser)'?s?\s+(?:inspector\s+|representative\s+|man\s+|surveyor\s+)?(?:will\s+|shall\s+|to\s+|may\s+|is to\s+)*(?:choice|choos\w+|select\w*|pick\w*|decid\w*|mark\w*|judg\w+|nominat\w+|indicat\w*|direct\w*|designat\w+|point\w* out|show\w*)|\b(?:we|you) (?:point|show|mark|choose|select|pick|decide)\w*|random(?:ly)?\b|evenly|uniformly (?:spread|distributed|spaced)|equally spaced|\bgrid\b|distributed over|spread over|each (?:face|side|quadrant)|\bworst|dirti\w+|most likely|particular focus)"
)
NOT_A_PLACE = re.compile(r"(?:by|chosen by|selected by) (?:the )?(?:contractor|applicator|painter)")

ITEM_STOP = frozenset(
    "hour hours minute minutes cent kg m cm mm l litre the a square sq m2 ft2 sqm metre meter cubic coat and or iso unit area reading result test tests readings sample location day".split()
)
PERIOD = re.compile(r"^(?:(?:working|calendar)\s+)?(?:shift|day|week|month|hour|night|quarter|year)s?$")
LOT = re.compile(
    r"^(?:\w+\s+)?(?:lot|deliver(?:y|ies)|batch(?:es)?|consignment|shipment|load|truck(?:load)?|bag|big bag|recycling|tonnes?|tons?|container|silo)s?$"
)
