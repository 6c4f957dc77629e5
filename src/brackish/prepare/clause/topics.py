# SPDX-License-Identifier: MIT
"""What a sentence speaks of, in whatever words: failure, place, number, wait, stage, each or mean, the blank.

`fields.py` reads what is said; these wide nets only notice that something is said. A sentence that a net
catches and `fields.py` did not read gives no value: it keeps the trap "not said" away, and is listed as one
that a person must read. A net is a shape (a verb of doing again, a preposition with a part of a structure),
never a sentence somebody wrote.
"""

from __future__ import annotations

import re

from brackish.prepare.clause import lexicon

RESULT = r"(?:results?|readings?|values?|tests?|measure(?:ment)?s?|measurings?|determinations?|figures?|extractions?|spots?|locations?|samples?|points?|places?|patch(?:es)?|controls?|checks?|probes?|positions?|sites?|analys[ei]s|trials?|singles?|ones?|verifications?|swabs?|levels?)"
_TESTED = r"(?:test|check|measur|sampl|prob|verif|control|examin|inspect|monitor|determin|swab|analy[sz])"
NUMBER = rf"(?:{lexicon.NUMBER}|both|once|twice|thrice|\d+|several|n\. ?\d+)"
_PAINT = r"(?:coat(?:s|ed|ing|ings)?|over-?coat\w*|paint(?:s|ed|ing|work)?|prim(?:e|es|ed|er|ers|ing)|lin(?:ed|ing)|topcoat|enamel|epoxy|powder|metalli[sz]\w+|spray(?:ed|ing)?|galvani\w+|first hand|hand of paint|application|wrapp\w+|covered|stripe)"
_LIMIT_PHRASE = re.compile(
    r"\b(?:not?|never|nor|cannot|nowhere|neither)\s(?:\w+\s){0,3}?(?:exceed\w*|over|above|higher|greater|more than|beyond|surpass\w*|superior|in excess)|(?:high|ultra-?high|low)[- ](?:pressure|performance|build|solids?|tide|water)|above[- ](?:water|ground|deck)\w*|\bsa ?2|more than one|not later|too (?:small|few)"
)

_EXCESS = r"(?:(?:where|if|when|should) (?:one|it|any|this|they|that|so|some) (?:does|do|is|are|happens?|occurs?|arises?)|overruns?|surplus|over|above|beyond|(?<!not )(?<!to )exceed\w*|exceedances?|overrun|surpass\w*|overcom\w*|overpass\w*|overshoot\w*|overstep\w*|breach\w*|(?<!not )fail\w*|bad|high(?:er)?|too|worse|wrong|unsatisf\w*|unaccept\w*|unfavou?rable|insufficient|inadequate|nonconform\w*|non-conform\w*|non-?compl\w*|out[- ]of[- ]\w+|outside|(?:not|n't|never|cannot) (?:be |been |so |yet )?(?:met|meet\w*|reach\w*|satisf\w*|compl\w*|conform\w*|accept\w*|pass\w*|ok|achiev\w*|within|good|in order|fulfil\w*|attain\w*|obtain\w*|respect\w*|below|under)|otherwise|if not|or else|wanting|unfit|unsuccessful|falls? short|fell short|defective|deficient|positive|deviat\w*|in excess|excess(?:ive)?|greater|more than|salty|contaminated|failing|negative|misses|missed|>)"
_ACT = r"(?:re-?(?:wash|blast|clean|test|do|work|treat|prepar|check|measur|rins|jet|inspect|sampl|present|mov|turn|ject|pair|med|ctif|plac|fus|peat|new|proc|strip|commenc|start)\w*|(?:grit-?|water-?|steam-?|hydro-?)?(?:wash|clean|scrub|hos|flush|rins|jet|steam|blow|blast|sweep|swept|strip|treat|wip|brush|purg|desalt|decontamin)\w*|further|additional|extra|another|second|new(?:ly)?|fresh|afresh|anew|again|once more|round again|two more|more (?:tests?|spots?|readings?)|hold|held|stop\w*|halt\w*|ceas\w*|suspend\w*|interrupt\w*|call\w*|notif\w*|inform\w*|ring|phon\w*|tell|told|rais\w*|nc[rn]s?|quarantin\w*|segregat\w*|block\w*|barred|withh\w+|withdraw\w*|withdrawn|scrap\w*|discard\w*|dispos\w*|downgrad\w*|cost|charge|expense|cause for|not (?:be )?(?:used|coated|painted|primed|released|lined|unloaded|taken|admitted|let)|(?:go|goes|went|sent|send|given|taken|turned|brought) (?:back|away)|lost|lose|corrective|action|measures|steps|penalt\w*|concession|waiver|correct\w*|made good|make good|excluded?|exchang\w*|chang\w*|puts? (?:it |them )?right|entail\w*|drain\w*|dump\w*|condemn\w*|acid|recommence|resubmi\w*|escalat\w*|hand(?:ed)? over|void\w*|annul\w*|nok|does not count)"
_GATED = rf"(?:\b(?:no|not|never|without|forbidden|prohibited|only|unless|until|till|pending|with-?held|hold ?points?|may proceed|released?|stop\w*|before)\b[^.;|]{{0,90}}?\b(?:{_PAINT}|work|proceed\w*|next (?:step|stage|operation))\b[^.;|]{{0,90}}?\b(?:until|unless|before|till|without|only|pending|if|when|while|over|as long as|that (?:is|are|has|have|fails?)|by|with|which)\b[^.;|]{{0,60}}?(?:pass\w*|met\b|reach\w*|satisf\w*|accept\w*|compl\w*|below|under|within|over\b|above|exceed\w*|overcom\w*|fail\w*|good|ok\b|achiev\w*|result|figure|value|proven|shown|cleared|approv\w*|released?|in order|\d\s?[um][gs])|\b(?:work|{_PAINT})\b[^.;|]{{0,60}}?\b(?:proceed|begin|start|commence|continue|go|with-?held|released?|allowed|permitted|may)\b[^.;|]{{0,50}}?\b(?:only|until|unless|pending|after|once)\b[^.;|]{{0,60}}?\b(?:pass\w*|met|satisf\w*|accept\w*|compl\w*|good|result|released?|approv\w*)|\b(?:wash|clean|blast|treat|rins|jet|repeat|continu)\w*[^.;|]{{0,60}}?\b(?:until|till)\b)"
_OUTRIGHT = re.compile(
    r"\breject(?:ed|ion|s)?\b|\bre-?(?:wash|blast|clean|test|work|treat|jet|rins)(?!\w*ability)\w*|\bnc[rn]s?\b|\bre-?do(?:ne|ing)?\b|quarantin\w*|corrective action|remedial|non-?conformance report|\bhold point\b|(?:treat|wash|clean|blast|test|do|done|measur|scrub|hos|check|verif|read|inspect|examin)\w*(?: \w+)? (?:again|anew|once more|afresh|over again)|re-preparation"
)
_CONSEQUENCE = re.compile(
    rf"(?<![a-z-]){_EXCESS}(?![a-z])[^.;|]{{0,140}}?(?<![a-z-]){_ACT}(?![a-z])|(?<![a-z-]){_ACT}(?![a-z])[^.;|]{{0,90}}?\b(?:if|when|where|should|whenever|in case|in the event|any\w*|those|which|that|all|items?|plates?|areas?|steel|surfaces?|defective)\b[^.;|]{{0,50}}?(?<![a-z-]){_EXCESS}(?![a-z])"
)
_GATE = re.compile(_GATED)
_NOT_A_FAILURE = re.compile(
    r"(?:if|when|where|in case of|during|in) (?:it )?(?:rain|wind|wet|bad weather|frost|shower|snow)\w*|not be (?:repeated|retested)|recycl|re-?us(?:e|ed|able)"
)


def failure(low: str) -> re.Match[str] | None:
    """What is done with what fails: an excess with a deed, work that may not go on, or a word that says both."""
    if _NOT_A_FAILURE.search(low):
        return None
    plain = _LIMIT_PHRASE.sub(lambda match: "~" * len(match.group()), low)
    return _OUTRIGHT.search(plain) or _GATE.search(low) or _CONSEQUENCE.search(plain)


_PART = r"(?:webs?|chords?|flanges?|welds?|welding|seams?|knuckles?|corners?|edges?|rat-?holes?|scallops?|bilges?|turn of|deck|overheads?|ceilings?|deckheads?|floors?|roofs?|walls?|bulkheads?|frames?|stiffeners?|brackets?|gussets?|nodes?|joints?|splices?|bolts?|bolted|holes?|nozzles?|manholes?|suctions?|sumps?|bottoms?|tops?|crowns?|inverts?|quarters?|sides?|ends?|mid\w*|centres?|centers?|halfway|halves|third|rims?|lips?|toes?|heels?|roots?|pits?|pitted|ledges?|shel(?:f|ves)|sills?|pockets?|crevices?|recess\w*|laps?|rivets?|hinges?|bearings?|saddles?|foot|feet|base|keel|shoulders?|hoppers?|shedder|stringers?|longitudinals?|transverses?|tank ?tops?|water ?line|splash|tidal|o'?clock|faces?|upstream|downstream|inside|outside|inner|outer|upper|lower|uppermost|lowermost|lowest|highest|interior|exterior|internal|external|drains?|gutters?|steps?|seaward|windward|leeward|lee|weather|shelter\w*|former|old|previous|rust\w*|corrod\w*|corrosion|horizontal|vertical|overhang\w*|flat|upturned|worst|deepest|dirtiest|saltiest|lee|zones?|spray|exposed|hidden|hard[- ]to|critical|difficult|stagnant|soffit|cope|collar|pile head|mud ?line|one metre|\d+ ?(?:mm|cm|m) (?:above|below|from)|half)"
_AT = r"(?:at|on|in|along|near|beside|by|under|beneath|behind|inside|within|around|across|over|above|below|between|opposite|from|of|to|towards?|off|close to|next to|adjacent to)"
_SPOTS = r"(?:locations?|places?|positions?|spots?|points?|sites?|where|distribution|placement)"
PLACE = re.compile(
    rf"\b(?:{RESULT}|take[ns]?|taken|taking|made|make|put|placed?|set|half|{_TESTED}\w*|try|{NUMBER}|go|come|carried out|performed|done|frequency)\b[^.;|]{{0,90}}?\b{_AT}\s(?:the |a |an |any |each |every |its |their |all |both |most |one |two |four |that |those )*(?:[a-z'-]+ )?{_PART}\b"
    rf"|\b{_SPOTS}\W(?:\W)?(?:to be |shall be |are |is |will be |being )?(?:agreed|chosen|select\w*|marked|fixed|set|determined|decided|given|shown|named|as (?:in|per|shown|marked)|according|at the discretion|follow\w*|nominated|indicated|spread|distributed|where|at|in|by (?:the )?(?:engineer|inspector|owner|client|surveyor)|directed|approved|equally|evenly)"
    rf"|\b{_SPOTS}\s?:|(?:test|measuring|sampling) {_SPOTS}[^.;|]{{0,20}}\b(?:follow|sketch|drawing|map|plan|layout)|\bsays? where\b|\bwhere (?:the )?(?:water|salt|dirt|rust|brine|spray|condens\w+|moisture|corrosion|coating|paint|puddles?)\b|\bwhere \w+ (?:the )?(?:water|salts?)\b"
    r"|\b(?:spaced|spread|distributed|scattered|staggered)\b|\brepresentative (?:of|for) the (?:whole|entire|surface)|by lot\b|random|\bgrid\b|(?:preference|priority|emphasis|attention|particularly|focus\w*|concentrat\w*|especially|bias\w*|targeted?)\b[^.;|]{0,60}\b(?:areas?|places?|spots?|zones?|where|parts?|surfaces?|corners?|welds?|pits?|rust|deposits?)"
    r"|\b(?:at|by|to) the (?:discretion|choice|direction|option) of (?:the )?(?:\w+'s )?(?:inspector|engineer|owner|client|surveyor|company|purchaser|superintendent)|\b(?:most|worst|heavily|deeply|badly|more) (?:\w+ )?(?:pitted|corroded|rusted|contaminated|exposed|critical|affected|areas?|spots?|places?|parts?)|\b(?:spots?|points?|places?|patch(?:es)?|tests?|readings?|samples?|measurements?) (?:\w+ ){0,3}(?:near|beside|behind|beneath|underneath|alongside|amid)\b"
    rf"|\b(?:{RESULT}|per|each|every)\b[^.;|\t]{{0,40}}:\s(?:[a-z'-]+ ){{0,2}}{_PART}\b"
    r"|\b(?:choos\w+|select\w*|pick\w*|prefer\w*) (?:the |a )?(?:\w+ )?(?!tests?\b)(?:[a-z]{3,}est|worst|most)\b|\d o'?clock|exposed to (?:splash|spray|salt|brine|sea|weather|traffic)"
)
_BY_OTHERS = re.compile(
    r"(?:\b(?:be|are|is|get) stripe|grind|ground smooth|grinding|\bstored?\b|\bkept\b|contractor'?s? (?:choice|discretion|option)|by the (?:contractor|applicator|painter))"
)


def place(low: str) -> re.Match[str] | None:
    """Where tests are made, or who says where."""
    return None if _BY_OTHERS.search(low) else PLACE.search(low)


COUNT = re.compile(
    rf"(?<![\d.,-])\b(?!single|an? (?!pair|couple|dozen)){NUMBER} (?:of them |more |further |[a-z-]+ ){{0,2}}?(?<!of ){RESULT}\b|\b{NUMBER} (?:{RESULT} )?(?:(?:per|for each|on each|in each|at each|for every|each|in every|on every|a|off|out of)\b|/) ?(?!coat|litre|minute|hour|cent)[a-z\d]"
    rf"|\b(?:per|each|every|all|any)\b (?:the )?(?:\w+ ){{1,4}}?(?:shall |must |is |are |will |has |have |to |be |gets? |needs? |receives? )+(?:\w+ )?{_TESTED}|\b(?:each|every) [a-z]+ (?:has|gets|receives|needs) (?:\w+ )?(?:own )?{RESULT}"
    rf"|\b(?:{RESULT}|{_TESTED}\w*)\b[^.;|]{{0,60}}?\b(?:for each|(?:on|in|at|of|from|to) each|for every|(?:on|in|at|of|from|to) every|per|every|once|twice|at (?:a )?(?:rate|intervals|density) of|daily|hourly|weekly|each (?!other)(?:shift|day|item|plate|block|tank|pipe|bay|lot|delivery|area)|at all|on all)\b"
    rf"|\bas many {RESULT}|\b(?:number|frequency|quantity|density|extent|amount|rate|intervals?) of (?:the )?(?:{RESULT}|{_TESTED}\w*)|\b(?:frequency|quantity|extent|number|sampling (?:rate|density)|density|qty)\b\s?(?:is|:|shall|=|as|\d)|\b(?:percent|per cent|%) of (?:the |all )?[a-z]+[^.;|]{{0,30}}{_TESTED}|(?<!no )(?<!any )(?<!each )\bsingle {RESULT}|\bone in (?:{lexicon.NUMBER}|every)\b|\b1 in \d|\bevery \d+ ?(?:m|ft|sq|m2|metres?|meters?)\b|\b(?:first|start-?up)\b[^.;|]{{0,40}}\b(?:then|thereafter|afterwards|the rest|the remainder)\b"
    rf"|\b(?:take|make|do|perform|draw|set|need|want|require)\w* {NUMBER}\b(?! (?:coat|hour|min|day|person|people|man|men)\w*)|\beach [a-z]+(?: of [a-z]+)? (?:is|are|shall be|must be|to be) {_TESTED}\w*|\bin number\b|\b(?:tests|readings|checks|measurements|samples|spots)\s?[:=]\s?\d|\bin (?:duplicate|triplicate)\b|\b(?:daily|weekly|hourly)\b"
)
_OTHER_COUNT = re.compile(r"film|thickness|\bdft\b|adhesion|profile|dust|holiday|coats? of|hardness|sieve")


def count(low: str) -> re.Match[str] | None:
    """How many tests, or how often."""
    return None if _OTHER_COUNT.search(low) and "salt" not in low else COUNT.search(low)


_DURATION = r"(?:(?:\d+(?:[.,]\d+)?|half an?|an?|the|one|two|three|four|five|six|eight|ten|twelve|twenty-?four|ninety|sixty|thirty|a few|half) ?(?:-?hours?|h|hrs?|minutes?|mins?|shifts?|days?|tides?|watch(?:es)?)\b|half a shift)"
_SOON = r"(?:immediately|directly|straight ?(?:away|off|on)?|at once|right away|right|without (?:any |undue )?(?:delay|interruption|interval|pause|waiting)|forthwith|promptly|as soon as|just|shortly|(?:the |that |this )?(?:very |self-?)?same (?:shift|day|watch|tide|afternoon|morning|evening|working day|visit)|that (?:same |working )?(?:day|evening|shift|night)|by (?:the end of|nightfall|night|evening|dark)|within (?:the|a|one|that|this) (?:tide|shift|watch|day)|before (?:the )?(?:dew|night\w*|dark\w*|evening|end of|shift (?:ends|is over))|overnight|last (?:step|thing|operation|act)|the day of|nightfall|on the heels|next (?:thing|operation|step)|in one go)"
_PAINTS = rf"(?:{_PAINT}|primes)"
WAIT = re.compile(
    rf"\b{_SOON}\b[^.;|]{{0,70}}?\b{_PAINTS}\b|\b{_PAINTS}\b[^.;|]{{0,70}}?\b{_SOON}\b|\b{_DURATION}[^.;|]{{0,70}}?\b(?:before|until|from|of|between|to|for|prior to|ahead of|after)\b[^.;|]{{0,40}}?\b(?:{_PAINTS}|test\w*|check\w*|measur\w+|control\w*|wash\w*|blast\w*|reading\w*)\b"
    rf"|\b{_PAINTS}\b[^.;|]{{0,40}}?{_DURATION} (?:later|afterwards?)|\b{_PAINTS}\b[^.;|]{{0,70}}?(?:within|not later|no later|in|at most|max\w*\.?|<=?|≤|before|inside|latest|up to|under|less than|after)[^.;|]{{0,16}}?{_DURATION}"
    rf"|\b(?:older|valid|good|holds?|counts?|expires?|lapses?|stale)\b[^.;|]{{0,24}}?{_DURATION}|\b(?:time|interval|gap|delay|wait\w*)\b[^.;|]{{0,50}}\b{_PAINTS}\b[^.;|]{{0,30}}?{_DURATION}|\b(?:not|never)\b[^.;|]{{0,30}}\b(?:uncoated|unpainted|bare|unprimed)\b|\bbetween (?:the )?(?:test|check|control|measur|reading|last test)\w*[^.;|]{{0,40}}{_PAINTS}[^.;|]{{0,30}}{_DURATION}"
)
_OTHER_WAIT = re.compile(
    rf"{lexicon.NOT_A_WAIT.pattern}|second coat|next coat|over-?coat|recoat|drying of|\bsent\b|thinner|mix(?:ed|ing)|finish coat|between coats|dew point|\bwas\b|\bwere\b".replace(
        "|until", ""
    ).replace("|stand", "")
)


def wait(low: str) -> re.Match[str] | None:
    """How long may pass between the test and the coat."""
    match = WAIT.search(low)
    return None if match and _OTHER_WAIT.search(low[max(0, match.start() - 50) : match.end() + 30]) else match


_PROCESS = rf"(?:{_PAINT}|(?:sand|grit|shot|hydro)?-?(?:blast|wash|rins|jet|flush|sweep|clean|degreas)\w*|swept|blow\w*|dust\w*|vacuum\w*|prepar\w*|arriv\w*|receipt|deliver\w*|surface preparation|derust\w*|abrasive)"
STAGE = re.compile(
    rf"\b(?:once|after|when) (?:the |all )?(?:grit|abrasive|dust|water|spent \w+|rust|old \w+)\b[^.;|]{{0,20}}(?:removed|gone|off|away|drained|dry)|\b(?:before|prior to|after|following|once|upon|on completion of|when|as soon as|ahead of|in advance of|preceding|until|at the (?:time|moment|start) of|just before|between|on|at)\b (?:the |its |any |each |final |last |first |fresh |that |this |it is |application of |start of |completion of |\w+ (?:is|are|has|have) (?:been )?|(?:steel|surface|plate)\w* )*?(?:\w+ )?{_PROCESS}\b"
    rf"|\bpost-?\s?(?:blast|wash|clean)\w*|\bpre-?\s?(?:coat|paint|blast|prim)\w*|\b{_PROCESS} (?:is |are |has been |being |was )?(?:finished|complete\w*|done|over|executed)|\b(?:finished|completed|fresh|final|ready) (?:\w+ )?(?:blast|surface|for (?:the )?{_PAINT})|being (?:finished|ready|blasted|prepared)|ready for|at the moment|\bblasted (?:steel|surface|plate|area|metal|face)s?\b|hold point between|\bthen (?:coat|paint|prime)"
)
_TESTS = re.compile(rf"{_TESTED}|salt|chlorid|conductiv|reading|result|value|limit|level|patch|taken|made|done|\bit\b|spots?|post")
_OTHER_STAGE = re.compile(r"(?:second|next|finish|further|each|stripe) coat (?:is|shall|follows)")


def stage(low: str) -> re.Match[str] | None:
    """At which step of the work the test is made."""
    if _OTHER_STAGE.search(low) or not (_TESTS.search(low) or len(low.split()) < 7):
        return None
    return STAGE.search(low)


_ONE = r"(?:single |individual |separate |lone |of (?:the|these|them|those|its|all) |one of (?:the|these|them) |bad |high |failed |such |required |and every |(?:three|two|four|five|six|ten|\d+) )*"
EACH = re.compile(
    rf"\b(?:each|every|any|no|none|not one|all|both|one|individual|single|a single|a|another|neither)\b {_ONE}(?:salt |chloride |test |conductivity |bad |high )?{RESULT}\b(?!\s?(?:\w+\s){{0,3}}?(?:record|writ|report|sign|photo|mark|log|noted|witness|document|submit|filed|taken|take|made|carried|perform|numbered|label|stored))(?=[^.;|]{{0,100}}(?:over|above|below|under|within|exceed|more|less|higher|lower|greater|meet|compl|pass|fail|good|ok|count|valid|decid|accept|judg|satisf|stand|lie|keep|high|beyond|past |surpass|condemn|sends?|spoil|bad|salty|conform|limit|≤|<|>|apply|applies|reject))"
    rf"|(?:^|: )(?:each|every|all|any) (?:single |individual |one )?{RESULT}$|(?:\bmax\w*|\d ?[mu][gs]\s?/\s?\w+)[^.;|]{{0,20}}[,(] ?(?:in |at |for |on )?(?:any|each|every|per) (?:single |one )?{RESULT}\b|\b(?:worst|highest|largest|greatest|maximum|peak|top|biggest|saltiest|poorest)\b (?:single |individual |of (?:the|them|these) |of all )*(?:{RESULT}|found|measured|observed|counts?|decides?|is taken|one)|\b{RESULT}\b[^.;|]{{0,20}}?\b(?:above|over|exceeding|in excess|that fail\w*|which fail\w*|failing|not (?:meeting|complying|passing))\b|none of (?:them|these|those|the)|\bnot? averag\w*|\bno averag\w*"
    rf"|\b(?:average[ds]?|averaging|arithmetic\w*|mean|median|medium value|middle value|sum divided|mean value)\b(?! (?:film|thickness|dft|diameter|radius|that))|\bsing(?:ly|les)\b|\bindividual(?:ly)?\b|\b(?:alone|by itself|by themselves|separately|one by one)\b|(?:holds?|applies|valid|meant|counts?|limit|max\w*) (?:for|to|at|on|in) (?:each|every|any|all) (?:single |individual )?{RESULT}|\beach and every\b|\ball (?:\w+ )?(?:must|shall|to|have to|need to) (?:be |lie |stay |remain )?(?:below|under|within|pass|meet|comply|good|ok)|\bworst one\b|\bevery one\b"
)
_FILM = re.compile(r"film|thickness|\bdft\b|adhesion|profile|pull-?off|\brz\b|dust")


def each(low: str) -> re.Match[str] | None:
    """Whether each result counts, or the mean."""
    match = EACH.search(low)
    return None if match and _FILM.search(low[max(0, match.start() - 30) : match.end() + 30]) else match


BLANK = re.compile(
    rf"{lexicon.BLANK.pattern}|net of|(?:control|reference) (?:sample|patch|reading)|water[^.;|]{{0,70}}(?:(?:pull|draw|take|come|count)\w* (?:it |that |this )?off|remov|allow\w* for|correct|offset|before ?hand)|(?:net|less|minus|allow\w* for)[^.;|]{{0,40}}\bwater\b|\bwater\b[^.;|]{{0,60}}\d ?[um]s ?/|take it off|off the reading"
)


_RINSES = re.compile(r"\brins\w*|\bwash\w*|jetting|potable|water ?line")


def blank(low: str) -> re.Match[str] | None:
    """What the water or the kit reads by itself."""
    return None if _RINSES.search(low) and "blank" not in low else BLANK.search(low)


NETS = {"failure": failure, "place": place, "count": count, "wait": wait, "stage": stage, "each": each, "blank": blank}
