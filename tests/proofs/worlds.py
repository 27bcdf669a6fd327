"""Worlds that z3 found in a random book, as worked examples for stave to judge again."""

import re

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
        inside = False
        for _, line in lines:
            words = line.split()
            inside = line == 'scale' or (inside and line.startswith(' '))
            if inside and words[0] not in ('scale', 'no'):
                self.scale.append(words[0])
            if words[0] == 'measure':
                step = None
                if 'up' in words:
                    step = words[words.index('up') + 2]
                elif 'nearest' in words:
                    step = words[words.index('nearest') + 1]
                self.measures[words[1]] = (words[2], words[5], step)
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
    from fractions import Fraction
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
