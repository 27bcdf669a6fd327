"""Puts obligations that stave wrote as SMT-LIB 2 to z3, and reads its answers."""

import re
import subprocess
from fractions import Fraction

QUESTION = re.compile(r'\(echo "([^"]*)"\)\n\(set-info :status (\w+)\)')


class Answer:
    """What z3 says of one question: stated and found are sat, unsat or unknown."""

    def __init__(self, name, stated):
        self.name, self.stated, self.found = name, stated, None
        self.values = {}


def obligations(stave, arguments):
    """The text that stave writes; raises when it refuses."""
    done = subprocess.run([stave, *arguments], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise ValueError(done.stderr)
    return done.stdout


def tokens(text):
    return re.findall(r'\|[^|]*\||[()]|[^\s()|]+', text)


def term(words):
    """One s-expression, taken off the front of a list that is in reverse."""
    word = words.pop()
    if word != '(':
        return word
    inside = []
    while words[-1] != ')':
        inside.append(term(words))
    words.pop()
    return inside


def number(value):
    if isinstance(value, str):
        return Fraction(value)
    if value[0] == '-':
        return -number(value[1])
    assert value[0] == '/', value
    return number(value[1]) / number(value[2])


def read_answers(text, output):
    """The answers to the questions of one text, in its order."""
    # z3 itself complains where it disagrees with what is stated; that is compared here instead.
    lines = [line for line in output.split('\n') if 'check annotation that says' not in line and 'model is not available' not in line]
    at = 0
    answers = []
    for name, stated in QUESTION.findall(text):
        answer = Answer(name, stated)
        while lines[at] != name:
            assert not lines[at].startswith('(error'), lines[at]
            at += 1
        at += 1
        assert lines[at] in ('sat', 'unsat', 'unknown', 'timeout'), lines[at]
        answer.found = lines[at]
        at += 1
        rest = []
        while at < len(lines) and not (rest and balanced(rest)) and lines[at].startswith((' ', '((')):
            rest.append(lines[at])
            at += 1
        if rest:
            for symbol, value in term(tokens(' '.join(rest))[::-1]):
                name = symbol.strip('|') if isinstance(symbol, str) else '=outcome'
                answer.values[name] = number(value)
        answers.append(answer)
    return answers


def balanced(lines):
    joined = ''.join(lines)
    return joined.count('(') == joined.count(')')


def run(texts, seconds_each=20):
    """One z3 for many texts; gives what it printed of each."""
    whole = [f'(set-option :timeout {seconds_each * 1000})\n']
    for number_of, text in enumerate(texts):
        whole.append(f'(echo "==== {number_of}")\n')
        whole.append(text.replace('(exit)\n', '(reset)\n'))
    done = subprocess.run(['z3', '-in'], input=''.join(whole), capture_output=True, text=True,
                          check=False)
    parts = re.split(r'^==== \d+\n', done.stdout, flags=re.M)[1:]
    assert len(parts) == len(texts), done.stdout[-2000:] + done.stderr
    return parts


def ask(texts, seconds_each=20):
    """A list of answers for each of the texts."""
    return [read_answers(text, part) for text, part in zip(texts, run(texts, seconds_each))]
