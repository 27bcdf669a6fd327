"""Worlds that z3 found in a random book, as worked examples for stave to judge again."""

import math
import random
import re
from fractions import Fraction

FUNCTION = re.compile(r'\(define-fun \|([^|]*): outcome\| \(([^\n]*)\) Int')


def with_outcomes(text):
    """The same questions, each asked for the outcome of its world too."""
    calls = {}
    for subject, coordinates in FUNCTION.findall(text):
        names = re.findall(r'\(\|([^|]*)\| (?:Int|Real)\)', coordinates)
        calls[subject] = f'(|{subject}: outcome|' + ''.join(f' |{name}|' for name in names) + ')'

    def more(match):
        subject = match.group(1).split(': ')[0]
        return match.group(0)[:-2] + f' {calls[subject]}))'

    return re.sub(r'\(echo "([^"]*)"\)\n\(set-info :status sat\)\n(?:[^e].*\n)*?\(get-value \(.*\)\)',
                  more, text)


def decimal(value):
    """A figure that a person can write exactly, or None."""
    scale = 10 ** 9
    if value < 0 or (value * scale).denominator != 1:
        return None
    whole, rest = divmod(int(value * scale), scale)
    return f'{whole}.{rest:09}'.rstrip('0').rstrip('.')


class Book:
    """What a random book says of its measures and observations."""

    def __init__(self, lines):
        self.measures, self.observed, self.places, self.sides, self.scale = {}, {}, [], [], []
        self.rounding = {}
        inside = False
        for _, line in lines:
            words = line.split()
            inside = line == 'scale' or (inside and line.startswith(' '))
            if inside and words[0] not in ('scale', 'no'):
                self.scale.append(words[0])
            if words[0] == 'measure':
                step = how = None
                if 'up' in words:
                    step, how = words[words.index('up') + 2], 'up'
                elif 'nearest' in words:
                    step, how = words[words.index('nearest') + 1], 'nearest'
                if how == 'up' and 'smaller' in words:
                    how = 'down'
                self.measures[words[1]] = (words[2], words[5], step)
                self.rounding[words[1]] = how
            elif words[0] == 'observe':
                values = ['yes', 'no'] if words[2] == 'yes' else \
                    [word.strip(',') for word in words[4 if words[2] == 'one' else 3:]]
                self.observed[words[1]] = values
            elif words[0] == 'place':
                self.places = [word.strip(',') for word in words[1:]]
            elif words[0] == 'side':
                self.sides = ['camber', 'thrust']
        self.scale.append('no published limit')
        # Then an extent has to agree with a length, which worlds need not.
        self.along = any(' along station' in line for _, line in lines if line.startswith('kind '))


def example(book, answer):
    """(finding line, outcome), or None where no line says it exactly."""
    values = answer.values
    subject = answer.name.split(':')[0]
    kind = subject.split(' on ')[0]
    at, said = [], []
    for name, value in values.items():
        if name.startswith(('company', 'was ', 'first ', 'seen ')) or name.endswith("'"):
            return None
        if name in book.measures:
            low, high, step = book.measures[name]
            reading = value if step is None else value * Fraction(step)
            reading = min(max(reading, Fraction(low)), Fraction(high))
            figure = decimal(reading)
            if figure is None:
                return None
            said.append(f'{name} {figure} mm')
        elif name in book.observed:
            said.append(f'{name} {book.observed[name][int(value)]}')
        elif name == 'side':
            at.append(book.sides[int(value)])
        elif name == 'place':
            at.append(book.places[int(value)])
        elif name.endswith(' lo'):
            axis = name[:-3]
            low, high = decimal(value), decimal(values[f'{axis} hi'])
            if low is None or high is None:
                return None
            at.append(f'{axis} {low} mm' + (f' .. {high} mm' if low != high else ''))
    outcome = book.scale[int(values['=outcome'])]
    where = ' at ' + ' '.join(at) if at else ''
    return f'blade 1 {kind}{where}' + ''.join(f', {word}' for word in said), outcome


def examples(lines, answers):
    """A text of examples, and how many."""
    book = Book(lines)
    made = ['stave 1']
    for answer in answers:
        found = None
        if '=outcome' in answer.values and not book.along:
            found = example(book, answer)
        if found:
            made += [f'example "{answer.name}"', f'    {found[0]}', f'    gives {found[1]}']
    return '\n'.join(made) + '\n', len(made) // 3


# ---- worlds of our own, at the places where things change -----------------------------------


def compared(book, name, reading):
    """What the language compares a reading as: the reading, or its number of steps."""
    step, how = book.measures[name][2], book.rounding[name]
    if how is None:
        return reading
    steps = reading / Fraction(step)
    return round(steps) if how == 'nearest' else \
        math.floor(steps) if how == 'down' else math.ceil(steps)


def literal(value, whole):
    if whole:
        return str(value)
    value = Fraction(value)
    return f'(/ {value.numerator}.0 {value.denominator}.0)'


def draw_world(draw, book, coordinates):
    """(values by coordinate, places, readings), or None where one finding alone does not say it."""
    values, at, said = {}, [], []
    readings = {name: Fraction(draw.randrange(int(Fraction(top) * 20) + 1), 20)
                for name, (_, top, _) in book.measures.items()}
    new = draw.randrange(3) == 0
    for name, _ in coordinates:
        first, _, rest = name.partition(' ')
        if first == 'company':
            return None
        if name in book.measures:
            values[name] = compared(book, name, readings[name])
            said.append(f'{name} {decimal(readings[name])} mm')
        elif name in book.observed:
            values[name] = draw.randrange(len(book.observed[name]))
            said.append(f'{name} {book.observed[name][values[name]]}')
        elif name == 'seen before':
            values[name] = 0 if new else 1
        elif first in ('was', 'first'):
            top = int(Fraction(book.measures[rest][1]) * 20)
            reading = readings[rest] if new else Fraction(draw.randrange(top + 1), 20)
            values[name] = compared(book, rest, reading)
            if not new:
                said.append(f'{name} {decimal(reading)} mm')
        elif name == 'side':
            values[name] = draw.randrange(2)
            at.append(book.sides[values[name]])
        elif name == 'place':
            values[name] = draw.randrange(len(book.places))
            at.append(book.places[values[name]])
        elif name.endswith(' lo'):
            # Edges of zones lie on halves.
            end = book.axes[name[:-3]] * 2
            low, high = sorted([2 * draw.randrange(end + 1), 2 * draw.randrange(end + 1)])
            low, high = low + (low < high and draw.randrange(4) == 0), high - (draw.randrange(4) == 0)
            low, high = max(low, 0), max(low, high)
            high = low if draw.randrange(2) else high
            low, high = Fraction(low, 4), Fraction(high, 4)
            values[name], values[name[:-3] + ' hi'] = low, high
            at.append(f'{name[:-3]} {decimal(low)} mm' + (f' .. {decimal(high)} mm' if low < high else ''))
    if 'seen before' in values or any(name.startswith(('was ', 'first ')) for name in values):
        if new:
            said.append('new')
        elif not any(name.startswith(('was ', 'first ')) for name in values):
            reading = next(iter(book.measures))
            said.append(f'was {reading} {book.measures[reading][0]} mm')
    return values, at, said


def ask_drawn(seed, lines, text, count):
    """A text that asks for the outcomes of worlds drawn, and their finding lines."""
    draw = random.Random(seed)
    book = Book(lines)
    book.axes = {words[1]: int(words[5]) for words in (line.split() for _, line in lines)
                 if words and words[0] == 'axis'}
    asked, findings = [], []
    for subject, declared in FUNCTION.findall(text):
        coordinates = re.findall(r'\(\|([^|]*)\| (Int|Real)\)', declared)
        for _ in range(0 if book.along else count):
            world = draw_world(draw, book, coordinates)
            if world is None:
                break
            values, at, said = world
            call = ' '.join(literal(values[name], sort == 'Int') for name, sort in coordinates)
            asked.append(f'(get-value ((|{subject}: outcome| {call})))')
            where = ' at ' + ' '.join(at) if at else ''
            findings.append(f'blade 1 {subject.split(" on ")[0]}{where}'
                            + ''.join(f', {word}' for word in said))
    functions = re.sub(r'\(push 1\)\n.*?\(pop 1\)\n', '', text, flags=re.S)
    return functions.replace('(exit)', '(check-sat)\n' + '\n'.join(asked) + '\n(exit)'), findings, book


def drawn_examples(findings, book, output):
    """The same as worked examples that give what z3 reckoned."""
    outcomes = [int(value) for value in re.findall(r' (\d+)\)\)$', output, flags=re.M)]
    assert len(outcomes) == len(findings), (len(outcomes), len(findings), output[:500])
    made = ['stave 1']
    for finding, outcome in zip(findings, outcomes):
        made += ['example "drawn"', finding, f'gives {book.scale[outcome]}']
    return '\n'.join(made) + '\n'
