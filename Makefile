# quietarm: two commands do all set-up: `make demo` and `make check`.
# all: build/quietarm · check: every test · demo: a week in an invented practice · DEVELOPERS.md says the rest

ifeq ($(origin CC),default)
CC      := gcc
endif
Q       := $(if $(V),,@)
MODE    ?= plain
B       := build$(if $(filter-out plain,$(MODE)),/$(MODE))
PREFIX  ?= /usr/local

# -- parts: every Debian package, for building, running and testing ---------------------------------------
BUILD_PACKAGES := gcc make pkg-config libmicrohttpd-dev libgnutls28-dev libsqlite3-dev libpq-dev libpcre2-dev libcurl4-openssl-dev \
                  libsodium-dev libjansson-dev libinih-dev libglib2.0-dev libcairo2-dev libpango1.0-dev
RUN_PACKAGES   := fonts-dejavu-core tzdata ca-certificates
TEST_PACKAGES  := libcmocka-dev clang libclang-rt-14-dev strace sqlite3 mandoc libgsl-dev libicu-dev perl poppler-utils qpdf python3-aiosmtpd
MODULES        := libmicrohttpd sqlite3 libpq libpcre2-8 libcurl gnutls libsodium jansson inih glib-2.0 cairo pangocairo

CFLAGS_COMMON := -std=gnu17 -D_GNU_SOURCE -g -I. -Wall -Wextra -Werror -Wshadow -Wpointer-arith -Wstrict-prototypes \
                 -Wmissing-prototypes -Wvla -Wformat=2 -Wundef -Wwrite-strings -Wno-missing-field-initializers \
                 -fno-strict-aliasing -fstack-protector-strong -fPIE $(CFLAGS_CPU)
, := ,
X86           := $(filter x86_64,$(shell uname -m))
CFLAGS_CPU    := $(if $(X86),-fcf-protection) -fstack-clash-protection
CFLAGS_plain  := -O2 -D_FORTIFY_SOURCE=2
CFLAGS_asan   := -O1 -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all
CFLAGS_tsan   := -O1 -fno-omit-frame-pointer -fsanitize=thread
CFLAGS_cover  := -O0 --coverage
CFLAGS_fuzz   := -O1 -fno-omit-frame-pointer -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all -w
LDFLAGS_plain := -Wl,-z,relro,-z,now,-z,noexecstack$(if $(X86),$(,)-z$(,)ibt$(,)-z$(,)shstk)
LDFLAGS_asan  := -fsanitize=address,undefined
LDFLAGS_tsan  := -fsanitize=thread
LDFLAGS_cover := --coverage
LDFLAGS_fuzz  := -fsanitize=address,undefined

# asked once, and only when something is compiled: `make deps` may have to come first
PKG_CFLAGS = $(eval PKG_CFLAGS := $(shell pkg-config --cflags $(MODULES)))$(PKG_CFLAGS)
PKG_LIBS   = $(eval PKG_LIBS := $(shell pkg-config --libs $(MODULES)))$(PKG_LIBS)
ALL_CFLAGS = $(CFLAGS_COMMON) $(CFLAGS_$(MODE)) $(PKG_CFLAGS) $(CFLAGS)
ALL_LDFLAGS = -pie $(LDFLAGS_$(MODE)) $(LDFLAGS)
LIBS        = $(PKG_LIBS) -lm -lpthread

# -- rooms: a library each, in the order in which they may call each other ----------------------------------
ROOMS := gateway gateway/web gateway/web/desk gateway/send gateway/report gateway/flow gateway/care gateway/texts store parser
DATA  := parser/lexicon gateway/texts gateway/protocols

room_sources = $(filter-out gateway/main.c,$(wildcard $(1)/*.c))
room_library = $(B)/lib/$(subst /,_,$(1)).a
LIBRARIES   := $(foreach r,$(ROOMS),$(if $(call room_sources,$(r)),$(call room_library,$(r))))
OBJECTS      = $(patsubst %.c,$(B)/obj/%.o,$(1))
DATA_OBJECTS := $(foreach d,$(DATA),$(B)/obj/data/$(subst /,_,$(d)).o)

all: $(B)/quietarm

$(B)/quietarm: $(call OBJECTS,gateway/main.c) $(LIBRARIES) $(DATA_OBJECTS)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $(filter %.o,$^) -Wl,--start-group $(LIBRARIES) -Wl,--end-group $(LIBS)

$(B)/obj/%.o: %.c
	@mkdir -p $(@D)
	$(if $(V),,@echo "CC   $@")
	$(Q)$(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<

define library_rule
$(call room_library,$(1)): $(call OBJECTS,$(call room_sources,$(1)))
	@mkdir -p $$(@D)
	@rm -f $$@
	$(Q)ar rcs $$@ $$^
endef
$(foreach r,$(ROOMS),$(eval $(call library_rule,$(r))))

# -- data linked in: each folder becomes a table of {name, bytes, size}, ended by a NULL name -------------------
data_files_parser_lexicon    := $(filter-out %.md,$(wildcard parser/lexicon/*.*))
data_files_gateway_texts     := $(wildcard gateway/texts/*.texts)
data_files_gateway_protocols := $(wildcard gateway/protocols/*.protocol)
data_symbol_parser_lexicon    := parser_lexicon
data_symbol_gateway_texts     := texts_files
data_symbol_gateway_protocols := protocol_files

define data_rule
$(B)/obj/data/$(1).o: $(data_files_$(1)) Makefile
	@mkdir -p $$(@D)
	@{ echo '.section .rodata'; n=0; for f in $(data_files_$(1)); do \
	     echo "b$$$$n: .incbin \"$$$$f\""; echo "e$$$$n: .byte 0"; echo "n$$$$n: .asciz \"$$$$(basename $$$$f)\""; n=$$$$((n+1)); done; \
	   echo '.section .data.rel.ro,"aw"'; echo '.balign 8'; \
	   echo '.global $(data_symbol_$(1))'; echo '$(data_symbol_$(1)):'; \
	   i=0; while [ $$$$i -lt $$$$n ]; do echo ".quad n$$$$i, b$$$$i, e$$$$i-b$$$$i"; i=$$$$((i+1)); done; \
	   echo '.quad 0, 0, 0'; echo '.section .note.GNU-stack,"",@progbits'; } > $$(@:.o=.S)
	$(Q)$(CC) -c -o $$@ $$(@:.o=.S)
endef
$(foreach d,parser_lexicon gateway_texts gateway_protocols,$(eval $(call data_rule,$(d))))

# -- unit tests: tests/unit/NAME.c is one program each; a test links every room --------------------------------
UNIT_TESTS := $(patsubst tests/unit/%.c,$(B)/unit/%,$(wildcard tests/unit/*.c) )
REFERENCE_TESTS := $(patsubst tests/reference/%.c,$(B)/reference/%,$(wildcard tests/reference/*.c))

define test_rule
$(B)/$(1)/%: $(B)/obj/tests/$(1)/%.o $(LIBRARIES) $(DATA_OBJECTS)
	@mkdir -p $$(@D)
	$(if $(V),,@echo "LINK $$@")
	$(Q)$$(CC) $$(ALL_LDFLAGS) -o $$@ $$< -Wl,--start-group $$(LIBRARIES) -Wl,--end-group $$(DATA_OBJECTS) $$(LIBS) -lcmocka $$(TEST_LIBS)
endef
$(eval $(call test_rule,unit))
$(eval $(call test_rule,reference))
$(B)/reference/distributions: TEST_LIBS := -lgsl -lgslcblas
$(B)/reference/parser_icu: TEST_LIBS := -licui18n -licuuc

# -- the player of scripts (demo and system tests); the carrier has its own rule ------------------------------------
$(B)/demo/play: $(call OBJECTS,$(wildcard demo/play/*.c))
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(B)/demo/carrier: $(call OBJECTS,$(wildcard demo/carrier/*.c))
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

# -- system tests: scripts for the player, and programs that use its stage -------------------------------------------
CASES        := $(wildcard tests/system/*.case)
SYSTEM_TESTS := $(patsubst tests/system/%.c,$(B)/system/%,$(wildcard tests/system/*.c))
STAGE        := $(call OBJECTS,demo/play/stage.c)

$(B)/system/%: $(B)/obj/tests/system/%.o $(STAGE) $(LIBRARIES) $(DATA_OBJECTS)
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $< $(STAGE) -Wl,--start-group $(LIBRARIES) -Wl,--end-group $(DATA_OBJECTS) $(LIBS) -lcmocka

# -- the bench: the program beside its bare parts; figures and charts under build/bench/ ---------------------------------
BENCH_SOURCES := $(filter-out %/single.c %/slow_disk.c,$(wildcard tests/bench/*.c))
BENCH_WRAPS   := $(foreach f,bind_int64 bind_double bind_null bind_text bind_blob step exec,-Wl,--wrap=sqlite3_$(f))

$(B)/bench/bench: $(call OBJECTS,$(BENCH_SOURCES)) $(LIBRARIES) $(DATA_OBJECTS)
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) $(BENCH_WRAPS) -o $@ $(filter %.o,$^) -Wl,--start-group $(LIBRARIES) -Wl,--end-group $(LIBS)

$(B)/bench/quietarm-single: $(call OBJECTS,gateway/main.c tests/bench/single.c) $(LIBRARIES) $(DATA_OBJECTS)
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -Wl,--wrap=batch_commit -o $@ $(filter %.o,$^) -Wl,--start-group $(LIBRARIES) -Wl,--end-group $(LIBS)

$(B)/bench/slow_disk.so: tests/bench/slow_disk.c
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) -O2 -D_GNU_SOURCE -Wall -Wextra -Werror -shared -fPIC -o $@ $< -ldl

# -- the desk in a real browser: pictures under build/browser/ ---------------------------------------------------------
BROWSER_PACKAGES := chromium chromium-driver

$(B)/browser/desk: $(call OBJECTS,$(wildcard tests/browser/*.c)) $(STAGE) $(LIBRARIES) $(DATA_OBJECTS)
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $(filter %.o,$^) -Wl,--start-group $(LIBRARIES) -Wl,--end-group $(LIBS) -lcmocka

include tests/fuzz.mk

# -- what people call ---------------------------------------------------------------------------------------------------
deps:
	@sh .ci/deps $(BUILD_PACKAGES) $(RUN_PACKAGES) $(TEST_PACKAGES)

deps-run:
	@sh .ci/deps $(BUILD_PACKAGES) $(RUN_PACKAGES)

# The demo needs no test packages.
demo: deps-run
	@$(MAKE) --no-print-directory $(B)/quietarm $(B)/demo/play $(B)/demo/carrier
	@sh demo/run $(B)

# STORE=postgres: the same tests on the store of several gateways, on a server of our own that is installed, started and
# stopped here; and gateways that die, for a short while.
STORE ?= embedded
ifeq ($(STORE),postgres)
GATEWAY_SECONDS ?= 8
BESIDE := bash tests/postgres/with $(B)
check: deps deps-postgres
	@$(MAKE) --no-print-directory style
	@$(MAKE) --no-print-directory MODE=asan pure
	@$(MAKE) --no-print-directory MODE=asan test
	@$(MAKE) --no-print-directory gateways

bench: deps deps-postgres $(B)/quietarm $(B)/demo/carrier $(B)/gateways/load
	@bash tests/gateways/bench $(B)
else
GATEWAY_SECONDS ?= 60
check: deps
	@$(MAKE) --no-print-directory style
	@$(MAKE) --no-print-directory MODE=asan pure
	@$(MAKE) --no-print-directory MODE=asan test
	@$(MAKE) --no-print-directory MODE=plain hazards
	@$(MAKE) --no-print-directory fuzz-short
	@$(MAKE) --no-print-directory MODE=plain bench-short
	@$(MAKE) --no-print-directory hardened
	@$(MAKE) --no-print-directory torture-short
	@$(MAKE) --no-print-directory soak-short

# Fifteen minutes or so. bench-short says whether all of it still works, and the order of magnitude.
bench: deps
	@$(MAKE) --no-print-directory bench-parts
	@bash tests/bench/run $(B)
endif

deps-postgres:
	@sh .ci/deps postgresql python3

# Three gateways at one PostgreSQL with a synchronous standby; one of them is killed each second, at last the primary.
gateways: deps-postgres $(B)/quietarm $(B)/demo/carrier
	@python3 tests/gateways/kill.py $(B) $(B)/gateways/kill $(GATEWAY_SECONDS)

$(B)/gateways/load: $(call OBJECTS,tests/gateways/load.c)
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

# How much the tests go through: lines of the whole product, both ways of each branch of the clinical rules.
# The other store's driver is not gone through: its tests need a server (STORE=postgres).
OTHER_STORE := -e store/driver_postgres.c -e 'store/.*postgres_.*' -e gateway/migrate.c -e store/migrate.c -e 'store/transfer.*'
cover: deps
	@sh .ci/deps gcovr
	@$(MAKE) --no-print-directory MODE=cover covered
covered: test-parts
	@find $(B)/obj -name '*.gcda' -delete
	@$(MAKE) --no-print-directory MODE=cover test
	@gcovr -r . --object-directory $(B)/obj -f gateway/ -f parser/ -f store/ -s --fail-under-line 90 -o $(B)/lines.txt
	@echo "cover: with the other store's driver left out:"
	@gcovr -r . --object-directory $(B)/obj -f gateway/ -f parser/ -f store/ $(OTHER_STORE) -s -o $(B)/lines-embedded.txt
	@gcovr -r . --object-directory $(B)/obj/gateway/care -f 'gateway/care/' -b --exclude-unreachable-branches --fail-under-branch 95

# Takes each control of the hazard log out and sees its test fail.
HAZARD_TESTS := $(sort $(shell awk '/^[0-9]/ {print $$2}' tests/hazards/controls))
hazards: $(HAZARD_TESTS:%=$(B)/unit/%)
	@python3 tests/hazards/run $(B)
print-cflags:    ; @echo '$(ALL_CFLAGS)'
print-ldflags:   ; @echo '$(ALL_LDFLAGS)'
print-libraries: ; @echo '$(LIBRARIES)'
print-data:      ; @echo '$(DATA_OBJECTS)'
print-libs:      ; @echo '$(LIBS)'

# Every test of this MODE (plain, asan, tsan, cover).
test-parts: $(B)/quietarm $(B)/demo/play $(B)/demo/carrier $(UNIT_TESTS) $(REFERENCE_TESTS) $(SYSTEM_TESTS)

test: test-parts
	@$(BESIDE) bash tests/run $(B) $(UNIT_TESTS) $(REFERENCE_TESTS) $(SYSTEM_TESTS) $(CASES)

unit: $(UNIT_TESTS) $(REFERENCE_TESTS)
	@$(BESIDE) bash tests/run $(B) $(UNIT_TESTS) $(REFERENCE_TESTS)

system: $(B)/quietarm $(B)/demo/play $(B)/demo/carrier $(SYSTEM_TESTS)
	@$(BESIDE) bash tests/run $(B) $(SYSTEM_TESTS) $(CASES)

browser: deps
	@sh .ci/deps $(BROWSER_PACKAGES)
	@$(MAKE) --no-print-directory $(B)/quietarm $(B)/demo/carrier $(B)/browser/desk
	@sh tests/browser/run $(B)

tsan: deps
	@$(MAKE) --no-print-directory MODE=tsan test

bench-parts: $(B)/quietarm $(B)/bench/bench $(B)/bench/quietarm-single $(B)/bench/slow_disk.so

bench-short: bench-parts
	@bash tests/bench/run $(B) --short

# Words, calls and habits that a person should not have to look for.
style:
	@sh tests/style

# parser/, gateway/care/ and gateway/texts/ reach nothing outside: their undefined symbols are on a list.
pure: $(call room_library,parser) $(call room_library,gateway/care) $(call room_library,gateway/texts)
	@sh tests/pure $^

# Every Bundle of the demo, its export and the endpoint's answers, by two validators that npm installs. Needs npm and the
# network once; `check` asserts on its own what these do not see.
validate-fhir: $(B)/quietarm $(B)/demo/play $(B)/demo/carrier
	@sh tests/fhir/run $(B)

install: $(B)/quietarm
	install -D -m 755 $(B)/quietarm $(DESTDIR)$(PREFIX)/bin/quietarm
	install -D -m 644 gateway/quietarm.8 $(DESTDIR)$(PREFIX)/share/man/man8/quietarm.8
	install -D -m 644 gateway/quietarm.ini.5 $(DESTDIR)$(PREFIX)/share/man/man5/quietarm.ini.5
	@mkdir -p $(DESTDIR)$(PREFIX)/lib/systemd/system
	sed 's|/usr/bin/quietarm|$(PREFIX)/bin/quietarm|' gateway/quietarm.service >$(DESTDIR)$(PREFIX)/lib/systemd/system/quietarm.service
	chmod 644 $(DESTDIR)$(PREFIX)/lib/systemd/system/quietarm.service

include tests/hard.mk

-include $(shell find $(B)/obj -name '*.d' 2>/dev/null)

clean:
	rm -rf build

.PHONY: cover covered hazards validate-fhir all bench bench-parts bench-short clean check demo deps deps-run install pure style system test tsan unit
.SECONDARY:
.DELETE_ON_ERROR:
