# Fuzzing: clang's libFuzzer with both sanitizers, one program for each parser that faces the outside. Included by the
# Makefile; tests/fuzz/README.md says what each holds to. What is found stays under build/fuzz/found/.
FUZZ_SECONDS ?= 3600
FUZZERS      := $(patsubst tests/fuzz/%_fuzz.c,$(B)/fuzzers/%,$(wildcard tests/fuzz/*_fuzz.c))

$(B)/fuzzers/%: $(B)/obj/tests/fuzz/%_fuzz.o $(LIBRARIES) $(DATA_OBJECTS)
	@mkdir -p $(@D)
	$(if $(V),,@echo "FUZZ $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -fsanitize=fuzzer -o $@ $< -Wl,--start-group $(LIBRARIES) -Wl,--end-group $(DATA_OBJECTS) $(LIBS) -lcmocka

fuzz-programs: $(FUZZERS)

# Each for FUZZ_SECONDS; the corpus grows under build/fuzz/ and is taken up again.
fuzz:
	@$(MAKE) --no-print-directory MODE=fuzz CC=clang fuzz-programs
	@sh tests/fuzz/run build/fuzz -1 $(FUZZ_SECONDS)

fuzz-short:
	@$(MAKE) --no-print-directory MODE=fuzz CC=clang fuzz-programs
	@sh tests/fuzz/run build/fuzz 2000 2

.PHONY: fuzz fuzz-programs fuzz-short
