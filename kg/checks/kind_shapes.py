"""SHACL shapes that follow from the vocabulary: what each property is said of, and of what kind its value is.

One shape per property, so that a property added in Turtle is checked without a line of Python; and one shape for
names of classes, properties and strengths that no vocabulary file defines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kg.checks.turtle import text
from kg.vocabulary import Property, Vocabulary

_FALLEN = "speaks of a claim that does not stand (set aside, withdrawn, or not on record)"
_HINT_FALLEN = "See why the claim fell; then let this one rest on another, or withdraw it too."


def kind_shapes(vocabulary: Vocabulary) -> Iterator[str]:
    """Every shape of kinds as a block of Turtle, in a fixed order."""
    yield _known_names(vocabulary)
    for _, prop in sorted(vocabulary.properties.items()):
        yield _property_shape(vocabulary, prop)


def _known_names(vocabulary: Vocabulary) -> str:
    return (
        "s:claim-uses-known-words a sh:NodeShape ; sh:targetClass k:Claim ; sh:severity sh:Violation ;\n"
        f"    k:hint {text('Choose a word of the vocabulary, or add a block to a vocabulary file.')} ;\n"
        f"    sh:property [ sh:path rdf:predicate ; sh:in ( {_list(vocabulary.properties)} ) ;\n"
        f"        sh:message {text('the property is not in the vocabulary')} ] ,\n"
        f"      [ sh:path k:strength ; sh:in ( {_list(vocabulary.strengths)} ) ;\n"
        f"        sh:message {text('the strength is not in the vocabulary')} ] .\n"
        "s:thing-has-known-classes a sh:NodeShape ; sh:targetSubjectsOf rdfs:label ; sh:severity sh:Violation ;\n"
        f"    k:hint {text('Choose a class of the vocabulary, or add a block to a vocabulary file.')} ;\n"
        f"    sh:property [ sh:path rdf:type ; sh:in ( {_list(vocabulary.kinds)} ) ;\n"
        f"        sh:message {text('the class is not in the vocabulary')} ] .\n"
    )


def _property_shape(vocabulary: Vocabulary, prop: Property) -> str:
    domain = vocabulary.kinds[prop.domain].label if prop.domain in vocabulary.kinds else prop.domain
    value_words = _value_words(vocabulary, prop)
    hint = f"“{prop.label}” joins {_a(domain)} to {value_words}. Correct the thing's class, or choose another property."
    said, found = f"“{prop.label}” is said of {_a(domain)}", f"the value of “{prop.label}” is {value_words}"
    own = value = "sh:Violation"
    # A claim that was set aside has left the working view: nothing is wrong, but what rests on it wants a look.
    if prop.domain == "Claim":
        own, said, hint = "sh:Warning", f"“{prop.label}” {_FALLEN}", _HINT_FALLEN
    if prop.range == "Claim":
        value, found, hint = "sh:Warning", f"“{prop.label}” {_FALLEN}", _HINT_FALLEN
    return (
        f"s:{prop.name}-kinds a sh:NodeShape ; sh:targetSubjectsOf k:{prop.name} ; sh:severity {own} ;\n"
        f"    k:hint {text(hint)} ;\n"
        f"    sh:class k:{prop.domain} ; sh:message {text(said)} ;\n"
        f"    sh:property [ sh:path k:{prop.name} ; {_value_constraint(prop)} ; sh:severity {value} ;\n"
        f"        sh:message {text(found)} ] .\n"
    )


def _value_constraint(prop: Property) -> str:
    if prop.is_date:
        return "sh:datatype <http://id.loc.gov/datatypes/edtf/EDTF>"
    if prop.is_number:
        return "sh:datatype xsd:integer"
    if prop.is_text:
        return "sh:datatype xsd:string"
    return f"sh:class k:{prop.range}"


def _value_words(vocabulary: Vocabulary, prop: Property) -> str:
    if prop.is_date:
        return "a date"
    if prop.is_number:
        return "a whole number"
    if prop.is_text:
        return "text"
    label = vocabulary.kinds[prop.range].label if prop.range in vocabulary.kinds else prop.range
    return _a(label)


def _a(label: str) -> str:
    return f"{'an' if label[0] in 'aeiou' else 'a'} {label}"


def _list(names: Iterable[str]) -> str:
    return " ".join(f"k:{name}" for name in sorted(names))
