# Stave: the library, the program and their tests. `make help` says what there is to ask for.
#
# Every .c file in a folder named below joins the build by itself; headers are followed by the
# compiler (-MMD). Nothing is written outside build/ but by `make install`.
#
# Knobs, each with a build folder of its own below build/:
#   SANITIZE=address,undefined   with these sanitizers
#   COVERAGE=1                   counting lines for gcov
#   DEVELOPER=1                  for the debugger: no optimization, all debug information
# And, in any of them: CC=clang, WERROR= (warnings do not stop the build), V=1 (whole commands),
# WHOLE= (the program takes the shared libraries of the system), PREFIX, DESTDIR.

# The one place that says it is stave_version().
VERSION := $(shell sed -n 's/^ *return "\([0-9][0-9.]*\)";$$/\1/p' src/library.c)
SOVERSION := 0

CC = gcc
FLEX = flex
BISON = bison
OBJCOPY = objcopy
PKG_CONFIG = pkg-config
INSTALL = install

PREFIX = /usr/local
BINDIR = $(PREFIX)/bin
LIBDIR = $(PREFIX)/lib
INCLUDEDIR = $(PREFIX)/include
MANDIR = $(PREFIX)/share/man
DOCDIR = $(PREFIX)/share/doc/stave
DATADIR = $(PREFIX)/share/stave

# ---- flags -------------------------------------------------------------------

comma := ,
BUILD := build
WERROR = -Werror
WARNINGS = -Wall -Wextra -Wconversion -Wshadow $(WERROR)
OPTIMIZE = -O2 -g
CFLAGS =
LDFLAGS =
NO_UNDEFINED = -Wl,-z,defs
# The program holds the libraries that it uses: to find, map and bind five shared ones would take as
# long as a process that does nothing, before a question is even read.
WHOLE = -static-pie

ifdef DEVELOPER
  BUILD := $(BUILD)/developer
  OPTIMIZE = -O0 -g3
endif
ifdef SANITIZE
  BUILD := $(BUILD)/sanitize-$(subst $(comma),-,$(SANITIZE))
  OPTIMIZE = -O1 -g -fno-omit-frame-pointer
  KNOBS += -fsanitize=$(SANITIZE) -fno-sanitize-recover=all
  # The sanitizers' own symbols come with the program, not with a shared library.
  NO_UNDEFINED =
  WHOLE =
endif
ifdef COVERAGE
  BUILD := $(BUILD)/coverage
  OPTIMIZE = -O0 -g
  KNOBS += --coverage
endif

# All objects are position-independent, so that one set serves both libraries; as everything
# but the public functions is hidden, that costs next to nothing.
COMPILE = $(CC) -std=c11 -D_POSIX_C_SOURCE=200809L -Isrc -Ibuild/gen $(WARNINGS) \
	-fvisibility=hidden -fPIC $(OPTIMIZE) $(KNOBS) $(CFLAGS)
LINK = $(CC) $(OPTIMIZE) $(KNOBS) $(CFLAGS) -Wl,--as-needed $(LDFLAGS)

LIBRARY_LIBS = -lyaml -lnettle -lgmp
PROGRAM_LIBS = -ljansson -lpthread

# One short line for each thing made, or with V=1 the command.
say = $(if $(V),,@printf '%-9s %s\n' $(1) $@;)

# ---- sources -----------------------------------------------------------------

# One direction: each stage knows only those before it.
STAGES := base read book question finding plan judge company record history verdict chart prove sweep

LIBRARY_SOURCES := $(sort $(foreach stage,$(STAGES),$(wildcard src/$(stage)/*.c))) \
	$(wildcard src/library.c)
PROGRAM_SOURCES := $(sort $(wildcard src/cli/*.c))
SHOW_SOURCES := $(sort $(wildcard src/show/*.c))
GENERATED := $(if $(wildcard grammar/stave.l),build/gen/read/scan.c) \
	$(if $(wildcard grammar/stave.y),build/gen/read/parse.c)
TEST_SOURCES := $(sort $(wildcard tests/unit/test_*.c))
TEST_HELPERS := $(filter-out $(TEST_SOURCES),$(sort $(wildcard tests/unit/*.c)))
BENCH_SOURCES := $(sort $(wildcard tests/bench/*.c))

objects = $(patsubst %.c,$(BUILD)/objects/%.o,$(1))
GENERATED_OBJECTS := $(patsubst build/gen/%.c,$(BUILD)/objects/gen/%.o,$(GENERATED))
LIBRARY_OBJECTS := $(call objects,$(LIBRARY_SOURCES)) $(GENERATED_OBJECTS)
SHOW_OBJECTS := $(call objects,$(SHOW_SOURCES))
PROGRAM_OBJECTS := $(call objects,$(PROGRAM_SOURCES)) $(SHOW_OBJECTS)
TEST_OBJECTS := $(call objects,$(TEST_SOURCES) $(TEST_HELPERS))
BENCH_OBJECTS := $(call objects,$(BENCH_SOURCES))
TESTS := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(TEST_SOURCES))
BENCHES := $(patsubst tests/bench/%.c,$(BUILD)/bench/%,$(BENCH_SOURCES))
ALL_OBJECTS := $(LIBRARY_OBJECTS) $(PROGRAM_OBJECTS) $(TEST_OBJECTS) $(BENCH_OBJECTS)

STATIC := $(BUILD)/libstave.a
SHARED := $(BUILD)/libstave.so.$(SOVERSION)
PROGRAM := $(BUILD)/stave
PARTS := $(BUILD)/parts.a

# ---- what can be asked for ------------------------------------------------------

.PHONY: all help unit-tests demo test bench check-format install uninstall clean
.DELETE_ON_ERROR:
.SUFFIXES:

all: $(STATIC) $(SHARED) $(BUILD)/libstave.so $(PROGRAM) $(BUILD)/stave.pc

help:
	@echo 'make               the libraries and the program, in $(BUILD)/'
	@echo 'make demo          installs what is missing, builds, judges the demo inspections'
	@echo 'make test          installs what is missing, builds, runs every test'
	@echo 'make bench         prints timings and ratios'
	@echo 'make install       into $$(DESTDIR)$$(PREFIX) ($(DESTDIR)$(PREFIX)); make uninstall'
	@echo 'make check-format  says where the code departs from .clang-format'
	@echo 'make clean         removes build/'
	@echo 'knobs              SANITIZE=address,undefined COVERAGE=1 DEVELOPER=1 CC=clang WERROR= V=1'

unit-tests: $(TESTS)

# What is asked of a bare machine first; then a second make, as a compiler may only now be there.
demo:
	@tests/install-packages build
	@$(MAKE) --no-print-directory all
	@tests/demo $(PROGRAM)

test:
	@tests/install-packages test
	@$(MAKE) --no-print-directory all unit-tests
	@tests/run-tests --build $(BUILD)

# A peer that cannot be installed is left out of the comparison.
bench: $(PROGRAM) $(BENCHES)
	@tests/install-packages bench || true
	@tests/bench/run $(BUILD)

check-format:
	clang-format --dry-run --Werror $(LIBRARY_SOURCES) $(PROGRAM_SOURCES) $(SHOW_SOURCES) \
	    $(TEST_SOURCES) $(TEST_HELPERS) $(BENCH_SOURCES)

clean:
	rm -rf build

# ---- compiling -----------------------------------------------------------------

# Changes only when the command does, so that another compiler or other flags compile anew.
$(BUILD)/command: always
	@mkdir -p $(@D)
	@echo '$(COMPILE) $(LDFLAGS) $(WHOLE)' | cmp -s - $@ || echo '$(COMPILE) $(LDFLAGS) $(WHOLE)' > $@
.PHONY: always
always:

# The generated headers must be there before the first source is read.
$(BUILD)/objects/%.o: %.c $(BUILD)/command | $(GENERATED)
	@mkdir -p $(@D)
	$(call say,compile)$(COMPILE) -MMD -MP -c -o $@ $<

# Rows go through these by the million.
$(BUILD)/objects/src/sweep/%.o: OPTIMIZE := $(OPTIMIZE:-O2=-O3)

$(BUILD)/objects/gen/%.o: build/gen/%.c $(BUILD)/command | $(GENERATED)
	@mkdir -p $(@D)
	$(call say,compile)$(COMPILE) -MMD -MP -c -o $@ $<

build/gen/read/scan.c build/gen/read/scan.h &: grammar/stave.l
	@mkdir -p $(@D)
	$(call say,generate)$(FLEX) --header-file=build/gen/read/scan.h \
	    --outfile=build/gen/read/scan.c $< 2>$(@D)/scan.said
# flex has no -Werror: whatever it says is an error.
	@if [ -s $(@D)/scan.said ]; then cat $(@D)/scan.said >&2; $(if $(WERROR),exit 1;) fi

build/gen/read/parse.c build/gen/read/parse.h &: grammar/stave.y
	@mkdir -p $(@D)
	$(call say,generate)$(BISON) -Wall -Werror -Wcounterexamples --defines=build/gen/read/parse.h \
	    --output=build/gen/read/parse.c $<

-include $(ALL_OBJECTS:.o=.d)

# ---- linking ---------------------------------------------------------------------

# One object of the whole library with all but the public names made local: the archive then
# gives a host nothing to collide with.
$(BUILD)/stave-library.o: $(LIBRARY_OBJECTS)
	$(call say,link)$(LD) -r -o $@.all $(LIBRARY_OBJECTS)
	@$(OBJCOPY) --localize-hidden $@.all $@
	@rm -f $@.all

$(STATIC): $(BUILD)/stave-library.o
	@rm -f $@
	$(call say,archive)$(AR) rcs $@ $<

$(SHARED): $(LIBRARY_OBJECTS)
	$(call say,link)$(LINK) -shared -Wl,-soname,$(@F) $(NO_UNDEFINED) -o $@ $(LIBRARY_OBJECTS) $(LIBRARY_LIBS)

$(BUILD)/libstave.so: $(SHARED)
	@ln -sf $(<F) $@

$(PROGRAM): $(PROGRAM_OBJECTS) $(STATIC)
	$(call say,link)$(LINK) $(WHOLE) -o $@ $(PROGRAM_OBJECTS) $(STATIC) $(LIBRARY_LIBS) $(PROGRAM_LIBS)

# For the tests, which look inside: the same objects with their inner names.
$(PARTS): $(LIBRARY_OBJECTS) $(SHOW_OBJECTS) $(call objects,$(TEST_HELPERS))
	@rm -f $@
	$(call say,archive)$(AR) rcs $@ $^

$(BUILD)/tests/%: $(BUILD)/objects/tests/unit/%.o $(PARTS)
	@mkdir -p $(@D)
	$(call say,link)$(LINK) -o $@ $< $(PARTS) -lcmocka $(LIBRARY_LIBS) $(PROGRAM_LIBS)

# Refuses libyaml's allocations too: they must be linked in to be wrapped.
$(BUILD)/tests/test_memory: private LDFLAGS += \
	$(patsubst %,-Wl$(comma)--wrap=%,malloc calloc realloc free strdup)
$(BUILD)/tests/test_memory: private LIBRARY_LIBS := $(LIBRARY_LIBS:-lyaml=-l:libyaml.a)

$(BUILD)/bench/%: $(BUILD)/objects/tests/bench/%.o $(PARTS)
	@mkdir -p $(@D)
	$(call say,link)$(LINK) -o $@ $< $(PARTS) $(LIBRARY_LIBS)

# ---- installing ---------------------------------------------------------------------

define PC_TEXT
prefix=$(PREFIX)
includedir=$(INCLUDEDIR)
libdir=$(LIBDIR)

Name: stave
Description: maintenance damage limits as text, judged exactly
Version: $(VERSION)
Requires.private: yaml-0.1 nettle gmp
Cflags: -I$${includedir}
Libs: -L$${libdir} -lstave
endef
export PC_TEXT

# Anew each time: PREFIX may differ from the last run's.
$(BUILD)/stave.pc: always
	@mkdir -p $(@D)
	@printf '%s\n' "$$PC_TEXT" > $@

MAN_PAGES := $(wildcard docs/man/*.1 docs/man/*.3 docs/man/*.5)
DOC_FILES := $(wildcard README.md LICENSE docs/*.md docs/*.json docs/*.c)
RULE_FILES := $(shell find rules -type f 2>/dev/null | sort)

install: all
	$(INSTALL) -d $(DESTDIR)$(BINDIR) $(DESTDIR)$(LIBDIR)/pkgconfig $(DESTDIR)$(INCLUDEDIR) \
	    $(DESTDIR)$(DOCDIR)
	$(INSTALL) -m 755 $(PROGRAM) $(DESTDIR)$(BINDIR)/stave
	$(INSTALL) -m 644 src/stave.h $(DESTDIR)$(INCLUDEDIR)/stave.h
	$(INSTALL) -m 644 $(STATIC) $(DESTDIR)$(LIBDIR)/libstave.a
	$(INSTALL) -m 755 $(SHARED) $(DESTDIR)$(LIBDIR)/$(notdir $(SHARED))
	ln -sf $(notdir $(SHARED)) $(DESTDIR)$(LIBDIR)/libstave.so
	$(INSTALL) -m 644 $(BUILD)/stave.pc $(DESTDIR)$(LIBDIR)/pkgconfig/stave.pc
	@set -e; for page in $(MAN_PAGES); do \
	    $(INSTALL) -D -m 644 $$page $(DESTDIR)$(MANDIR)/man$${page##*.}/$${page##*/}; done
	@set -e; for file in $(DOC_FILES); do \
	    $(INSTALL) -m 644 $$file $(DESTDIR)$(DOCDIR)/; done
	@set -e; for file in $(RULE_FILES); do \
	    $(INSTALL) -D -m 644 $$file $(DESTDIR)$(DATADIR)/$$file; done

# What install put there, by the same lists, and the folders that are then empty.
uninstall:
	rm -f $(DESTDIR)$(BINDIR)/stave $(DESTDIR)$(INCLUDEDIR)/stave.h \
	    $(DESTDIR)$(LIBDIR)/libstave.a $(DESTDIR)$(LIBDIR)/$(notdir $(SHARED)) \
	    $(DESTDIR)$(LIBDIR)/libstave.so $(DESTDIR)$(LIBDIR)/pkgconfig/stave.pc \
	    $(foreach page,$(MAN_PAGES),$(DESTDIR)$(MANDIR)/man$(subst .,,$(suffix $(page)))/$(notdir $(page))) \
	    $(addprefix $(DESTDIR)$(DOCDIR)/,$(notdir $(DOC_FILES))) \
	    $(addprefix $(DESTDIR)$(DATADIR)/,$(RULE_FILES))
	@test ! -d $(DESTDIR)$(DATADIR) || find $(DESTDIR)$(DATADIR) -depth -type d -empty -delete
	@test ! -d $(DESTDIR)$(DOCDIR) || find $(DESTDIR)$(DOCDIR) -depth -type d -empty -delete

.SECONDARY: $(TEST_OBJECTS) $(BENCH_OBJECTS)
