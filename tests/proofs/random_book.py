"""Random small books that are hard to judge, and mutants of them. All figures are invented.

A book is a list of (sort, line); sorts that mutants go for are 'zone', 'point' (of a curve)
and 'rung'. Figures lie on a coarse grid, so that edges, points and bounds often fall together.
"""

import random

STATION, CHORD = 8, 3      # ends of the axes, mm
FLY, GROUND = ['good', 'watch'], ['mend', 'scrap']


def figure(value, unit='mm'):
    """A value in eighths, as a decimal."""
    whole, rest = divmod(value, 8)
    return f'{whole}{ {0: "", 1: ".125", 2: ".25", 3: ".375", 4: ".5", 5: ".625", 6: ".75", 7: ".875"}[rest]} {unit}'


class Maker:
    def __init__(self, seed, products=False):
        self.draw = random.Random(seed)
        self.products = products
        self.companies = self.draw.randrange(2) == 0
        self.lines = []
        self.suffix = ''

    def chance(self, percent):
        return self.draw.randrange(100) < percent

    def add(self, sort, line):
        self.lines.append((sort, line))

    # ---- what there is ----

    def head(self):
        self.add('', 'stave 1')
        self.add('', 'book R-1 "random"')
        self.add('', '    edition "1"')
        self.add('', '    for model R-1')
        self.add('', 'scale')
        self.add('', '    good "g"')
        self.add('', '    watch "w"' + (' again within 5 h' if self.chance(50) else ''))
        self.add('', '  no flight')
        self.add('', '    mend "m"' + (' do "mend it"' if self.chance(30) else ''))
        self.add('', '    scrap "s"')

    def parts(self):
        draw = self.draw
        self.axes, self.sides, self.places, self.meetings = [], [], [], []
        shape = draw.randrange(100)
        self.add('', 'part blade, 2')
        if shape < 12:
            self.places = ['dome', 'rim', 'plate'][:draw.randrange(1, 4)]
            self.add('', '    place ' + ', '.join(self.places))
        elif shape < 92:
            self.axes = [('station', STATION)] + ([('chord', CHORD)] if self.chance(35) else [])
            for name, end in self.axes:
                self.add('', f'    axis {name} 0 mm .. {end} mm read to 0.5 mm')
        if shape >= 12 and self.chance(45):
            self.sides = ['camber', 'thrust']
            meet = ''
            if self.axes and self.chance(60):
                axis, end = draw.choice(self.axes)
                places = sorted(draw.sample(range(0, end + 1), draw.randrange(1, 3)))
                meet = ' meet at ' + ', '.join(f'{axis} {at} mm' for at in places)
            self.add('', '    side camber, thrust' + meet)

    def step(self):
        return self.draw.choice(['', 'read to 0.25 mm', 'read up to 0.5 mm', 'read up to 0.3 mm',
                                 'read nearest 1 mm', 'read nearest 0.4 mm'])

    def measures(self):
        self.measured = {}
        self.add('', '# measures')
        for name in ['depth', 'length', 'width'][:self.draw.choice([1, 1, 2, 2, 2, 3])]:
            top = self.draw.choice([2, 3, 4])
            smaller = self.chance(15)
            self.measured[name] = (top, smaller)
            self.add('', f'measure {name} 0 mm .. {top} mm {self.step()}'
                         + (' smaller is worse' if smaller else ''))
        self.observed = {}
        if self.chance(30):
            self.observed['lie'] = ('one of', ['flat', 'bent', 'torn'])
        if self.chance(30):
            self.observed['grease'] = ('levels', ['none', 'trace', 'much'])
        if self.chance(20):
            self.observed['holed'] = ('yes or no', ['yes', 'no'])
        for name, (sort, values) in self.observed.items():
            self.add('', f'observe {name} {sort}'
                         + ('' if sort == 'yes or no' else ' ' + ', '.join(values)))
        self.kinds = ['gouge', 'nick'] if self.chance(25) else ['gouge']

    def kind(self):
        if self.suffix:
            self.kinds = [f'gouge{self.suffix}']
        along = ' along station' if self.axes and self.chance(20) else ''
        self.add('', f'kind {", ".join(self.kinds)} on blade records '
                     + ', '.join([name + (along if name == 'length' else '')
                                  for name in [*self.measured, *self.observed]]))

    # ---- zones and curves ----

    def range_of(self, axis, end):
        # Ends come from a few places, so that zones share edges.
        low, high = sorted(self.draw.sample(range(0, 2 * end + 1), 2))
        if self.chance(8):
            high = low
        opened = low != high
        return (f' {axis} {"over " if opened and self.chance(20) else ""}{figure(4 * low)} .. '
                f'{"below " if opened and self.chance(25) else ""}{figure(4 * high)}')

    def zones(self):
        self.zoned = []
        for base in ['inner', 'middle', 'outer', 'cap', 'rest'][:self.draw.randrange(1, 6)]:
            name = base + self.suffix
            line = f'zone {name} on blade'
            if self.axes:
                if self.chance(85):
                    line += self.range_of(*self.axes[0])
                if len(self.axes) > 1 and self.chance(50):
                    line += self.range_of(*self.axes[1])
            if self.places and self.chance(70):
                line += ' ' + self.draw.choice(self.places)
            if self.sides and self.chance(40):
                line += ' ' + self.draw.choice(self.sides)
            if self.zoned and self.chance(50):
                line += ' outside ' + ', '.join(self.draw.sample(self.zoned, min(len(self.zoned), self.draw.randrange(1, 3))))
            self.zoned.append(name)
            self.add('zone', line)

    def curves(self):
        self.curved = []
        for base in ['ramp', 'slope', 'hill'][:self.draw.randrange(0, 4) if self.axes else 0]:
            name = base + self.suffix
            axis, end = self.draw.choice(self.axes)
            inner = sorted(self.draw.sample(range(1, end), self.draw.randrange(0, min(3, end))))
            self.add('', f'curve {name} along {axis}')
            for at in [0, *inner, end]:
                self.add('point', f'    {at} mm  {figure(self.draw.randrange(0, 33))}')
            self.curved.append(name)
        self.reckoned = []
        if len(self.measured) > 1 and self.chance(30):
            pair = self.draw.sample(list(self.measured), 2)
            name = 'both' + self.suffix
            self.add('', f'reckon {name} as the {self.draw.choice(["lesser", "greater"])} of '
                         f'{pair[0]} and {pair[1]}')
            self.reckoned.append(name)
        if self.products and len(self.measured) > 1:
            self.add('', 'reckon patch as depth * length')

    # ---- ladders ----

    def simple(self):
        choice = self.draw.randrange(100)
        if choice < 35 and self.curved:
            return self.draw.choice(self.curved)
        return figure(self.draw.randrange(0, 17) * 2)

    def bound(self):
        choice = self.draw.randrange(100)
        if choice < 60:
            return self.simple()
        if choice < 72:
            return f'{self.simple()} + {self.simple()}'
        if choice < 78:
            return f'50 % of {self.simple()}'
        if choice < 90:
            return f'the {self.draw.choice(["lesser", "greater"])} of {self.simple()} and {self.simple()}'
        if choice < 95 and len(self.measured) > 1:
            return f'{self.simple()} + {self.draw.choice(list(self.measured))} / 2'
        return f'2 * {self.simple()}'

    def among(self, name, flies):
        sort, values = self.observed[name]
        if sort == 'yes or no':
            return self.draw.choice([name, f'not {name}'])
        if sort == 'levels' and self.chance(80):
            upper = flies or self.chance(50)
            relation = 'up to' if upper else self.draw.choice(['over', 'at least'])
            if relation == 'over':
                values = values[:-1]
            return f'{name} {relation} {self.draw.choice(values)}'
        some = self.draw.sample(values, self.draw.randrange(1, 3))
        if not flies and self.chance(40):
            return f'{name} is not {some[0]}'
        return f'{name} is {" or ".join(some)}'

    def compare(self, name, worse):
        upper = worse != self.measured.get(name, (0, False))[1]
        relation = self.draw.choice(['up to', 'up to', 'below'] if upper else ['at least', 'over'])
        if upper and worse and self.chance(15):
            low, high = sorted(self.draw.sample(range(0, 17), 2))
            return f'{name} over {figure(2 * low)} and up to {figure(2 * high)}'
        return f'{name} {relation} {self.bound()}'

    def company(self):
        kinds = ', '.join(self.draw.sample(self.kinds, self.draw.randrange(1, len(self.kinds) + 1)))
        name = self.draw.choice(list(self.measured))
        return self.draw.choice([
            f'no more than {self.draw.randrange(0, 4)} of {kinds} on a blade',
            f'total {name} of {kinds} on a blade up to {figure(8 * self.draw.randrange(1, 8))}',
            f'largest {name} of {kinds} on the propeller below {figure(8 * self.draw.randrange(1, 4))}',
            f'{name} grown by up to {figure(self.draw.randrange(0, 9))}',
            f'{name} grown since first seen by below {figure(self.draw.randrange(1, 9))}',
            'first seen',
        ] + ([f'apart from {kinds} along station by 2 mm'] if self.axes else [])
          + ([f'not facing {self.kinds[0]}'] if self.sides and self.axes else []))

    def rung(self, outcome):
        flies = outcome in FLY
        said = []
        for name in self.measured:
            if flies and self.chance(75):
                said.append(self.compare(name, True))
            elif flies:
                said.append(f'any {name}')
            elif self.chance(45):
                said.append(self.compare(name, self.chance(75)))
        for name in self.observed:
            if self.chance(55):
                said.append(self.among(name, flies))
            elif flies:
                said.append(f'any {name}')
        if self.reckoned and self.chance(25):
            said.append(f'{self.reckoned[0]} {self.draw.choice(["up to", "below"])} {self.bound()}')
        if self.products and len(self.measured) > 1 and self.chance(40):
            said.append(f'patch up to {self.draw.randrange(1, 9)} mm2')
        if self.companies and self.chance(25):
            said.append(self.company())
        if not said:
            said.append(self.compare(self.draw.choice(list(self.measured)), True))
        return f'    {outcome} ' + ', '.join(said)

    def ladder(self):
        outcomes = sorted(self.draw.choices(range(4), k=self.draw.randrange(1, 5)))
        for outcome in outcomes:
            line = self.rung((FLY + GROUND)[outcome])
            if self.chance(10):
                line += f' within {self.draw.randrange(1, 4)} h'
            self.add('rung', line)
        end = self.draw.randrange(100)
        if end < 60:
            self.add('', '    otherwise ' + ('scrap' if outcomes[-1] == 3 or self.chance(70) else 'mend'))
        elif end < 75:
            self.add('', '    otherwise no published limit')

    def limits(self):
        for _ in range(self.draw.randrange(1, 5)):
            kinds = ', '.join(self.draw.sample(self.kinds, self.draw.randrange(1, len(self.kinds) + 1)))
            zone = 'blade' if self.chance(15) else self.draw.choice(self.zoned[-3:])
            if self.chance(6):
                self.add('', f'limit {kinds} on {zone} no published limit')
                continue
            self.add('', f'limit {kinds} on {zone}')
            self.ladder()


def make(seed, products=False):
    maker = Maker(seed, products)
    for stage in (maker.head, maker.parts, maker.measures, maker.kind, maker.zones, maker.curves,
                  maker.limits):
        stage()
    return maker.lines


def make_big(seed, limits, accepted):
    """A book of so many limits on one blade, in blocks of a kind each; `accepted` says of a text of one
    block whether the language takes it."""
    maker = Maker(seed)
    maker.companies = True
    maker.head()
    maker.parts()
    maker.measures()
    book = maker.lines
    count = 0
    while count < limits:
        maker.suffix = f'-{count}'
        maker.lines = []
        for stage in (maker.kind, maker.zones, maker.curves, maker.limits):
            stage()
        block = [line for line in maker.lines if line[1]]
        heads = sum(line.startswith('limit ') for _, line in block)
        if heads <= limits - count and accepted(text(common(book) + block)):
            book = book + block
            count += heads
    return book


def common(lines):
    """What stands before the first kind."""
    ends = [i for i, (_, line) in enumerate(lines) if line.startswith('kind ')]
    return lines[:ends[0]] if ends else lines


def text(lines):
    return '\n'.join(line for _, line in lines) + '\n'


# ---- mutants ------------------------------------------------------------------------------

FLIPS = [('up to', 'below'), ('below', 'up to'), ('at least', 'over'), ('over', 'at least')]


def replace_one(draw, line, pairs):
    """One of the pairs put in place of one of its occurrences; None where there is none."""
    found = []
    for old, new in pairs:
        at = line.find(old)
        while at >= 0:
            found.append((at, old, new))
            at = line.find(old, at + 1)
    if not found:
        return None
    at, old, new = draw.choice(found)
    return line[:at] + new + line[at + len(old):]


def drop_edge(draw, lines):
    """An open end closed, a closed end opened, an edge moved, or a range, side or `outside` left out."""
    at = draw.choice([i for i, (sort, _) in enumerate(lines) if sort == 'zone'])
    line = lines[at][1]
    words = line.split()
    way = draw.randrange(5)
    new = None
    if way == 0:
        new = replace_one(draw, line, [('below ', ''), ('over ', '')])
    elif way == 1 and '..' in words:
        new = line.replace('.. ', '.. below ', 1) if '.. below' not in line else None
    elif way == 2 and 'outside' in words:
        new = line[:line.index(' outside')]
    elif way == 3 and words[-1] in ('camber', 'thrust'):
        new = ' '.join(words[:-1])
    elif way == 4:
        figures = [i for i, word in enumerate(words) if word == 'mm']
        if figures:
            pick = draw.choice(figures) - 1
            words[pick] = str(draw.choice([0, 1, 2, 2.5, 3, 5, 8])).replace('.0', '')
            new = ' '.join(words)
    return replaced(lines, at, new)


def shift_point(draw, lines):
    points = [i for i, (sort, _) in enumerate(lines) if sort == 'point']
    if not points:
        return None
    at = draw.choice(points)
    head = lines[at][1].rsplit('  ', 1)[0]
    return replaced(lines, at, f'{head}  {figure(draw.randrange(0, 33))}')


def swap_lines(draw, lines):
    """The conditions of two neighbouring lines change places."""
    pairs = [i for i in range(len(lines) - 1) if lines[i][0] == lines[i + 1][0] == 'rung']
    if not pairs:
        return None
    at = draw.choice(pairs)
    first, second = (lines[i][1].split(None, 1) for i in (at, at + 1))
    made = replaced(lines, at, f'    {first[0]} {second[1]}')
    return made and replaced(made, at + 1, f'    {second[0]} {first[1]}')


def flip_comparison(draw, lines):
    rungs = [i for i, (sort, _) in enumerate(lines) if sort == 'rung']
    if not rungs:
        return None
    at = draw.choice(rungs)
    return replaced(lines, at, replace_one(draw, lines[at][1], FLIPS))


def replaced(lines, at, line):
    if line is None or line == lines[at][1]:
        return None
    return lines[:at] + [(lines[at][0], line)] + lines[at + 1:]


DEFECTS = [drop_edge, shift_point, swap_lines, flip_comparison]


def mutant(seed, lines):
    """The book with one defect; None where the defect that was drawn finds nothing to spoil."""
    draw = random.Random(seed)
    return draw.choice(DEFECTS)(draw, lines)
