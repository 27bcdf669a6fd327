/* Whole texts: the head and the scale. */
static const struct fault faults_of_texts[] = {
    {"no head",
     "stave 1\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "1:1+1 missing: no 'book' head in this text\n"
     "  write 'book NAME', 'edition \"…\"' and 'for model …' at its top\n"},
    {"no edition",
     "stave 1\n"
     "book B\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "2:6+1 missing: book has no edition\n"
     "  write 'edition \"…\"' below it: a record names the edition that it was judged by\n"},
    {"no model",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "2:6+1 missing: book names no model\n"
     "  write 'for model …' below it\n"},
    {"model twice",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M, M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "4:18+1 duplicate-name: model 'M' is named twice\n"
     "  4:15+1 first here\n"},
    {"second head",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "book C\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "5:1+6 duplicate-head: second 'book' head in this text\n"
     "  2:1+6 first here\n"},
    {"no scale",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n",
     "2:1+6 missing: book has no scale\n"
     "  write 'scale' and the outcomes below it, best first, with one 'no flight' line\n"},
    {"second scale",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n"
     "scale\n"
     "    good \"fly\"\n"
     "  no flight\n"
     "    bad \"no\"\n",
     "9:1+5 duplicate-scale: second scale: a book has one\n"
     "  5:1+5 first here\n"},
    {"no no-flight line",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "    scrap \"no\"\n",
     "5:1+5 missing: scale has no 'no flight' line\n"
     "  write 'no flight' on a line of its own: every outcome below it grounds\n"},
    {"two no-flight lines",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    mend \"no\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "9:3+9 no-flight: second 'no flight' in the scale: it has exactly one\n"
     "  7:3+9 first here\n"},
    {"nothing above no flight",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "6:3+9 missing: no outcome above 'no flight'\n"
     "  name at least one outcome that lets the propeller fly\n"},
    {"nothing below no flight",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n",
     "7:3+9 missing: no outcome below 'no flight'\n"
     "  name at least one outcome that grounds the propeller\n"},
    {"outcome twice",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "7:5+4 duplicate-name: outcome 'fine' is declared twice\n"
     "  6:5+4 declared here\n"},
    {"outcome of the language",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    incomplete \"no\"\n",
     "8:5+10 duplicate-name: outcome 'incomplete' is the language's own\n"
     "  give it another name\n"},
    {"deadline of an outcome",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "scale\n"
     "    fine \"fly\" again within 3 deg\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "6:29+5 deadline: deadline '3 deg' is an angle\n"
     "  write a time in h or min (in service), in days or in cycles\n"},
    {"use without a host",
     "stave 1\n"
     "book B\n"
     "    edition \"A\"\n"
     "    for model M\n"
     "use \"common\"\n"
     "scale\n"
     "    fine \"fly\"\n"
     "  no flight\n"
     "    scrap \"no\"\n",
     "5:5+8 missing-text: cannot read 'common'\n"
     "  no other text can be read here\n"},
};
