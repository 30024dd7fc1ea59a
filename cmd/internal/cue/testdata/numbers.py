# Writes numbers.json: what ICU makes of numbers by the CLDR's rules for spelling them out, without soft hyphens and
# commas; in English by the rules called verbose. Needs Debian's python3-icu: /usr/bin/python3 numbers.py > numbers.json
import json
import icu

numbers = list(range(0, 131)) + list(range(149, 1200, 50)) + list(range(1200, 12000, 777)) + [2**n + 1 for n in range(7, 29)] + [10**n for n in range(3, 9)]
numbers += [-1, -21, -300, 0.8, 0.05, 1.5, 9.81, 16.7, 17.75, 21.01, -7.85, 101.1, 1234.5]
rules = {"en": "%spellout-cardinal-verbose", "de": "%spellout-numbering"}


def spelled(tag):
    f = icu.RuleBasedNumberFormat(icu.URBNFRuleSetTag.SPELLOUT, icu.Locale(tag))
    f.setDefaultRuleSet(rules[tag])
    return {repr(n): f.format(n).replace("\u00ad", "").replace(",", "") for n in numbers}


print(json.dumps({"icu": icu.ICU_VERSION, **{tag: spelled(tag) for tag in rules}}, ensure_ascii=False, indent=0))
