# What tries to break the program as it is shipped. Included by the Makefile.

# -- the fault harness: a shim is preloaded ----------------------------------------------------------------------------
$(B)/torture/fault.so: tests/torture/fault.c tests/torture/fault.h
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) -std=gnu17 -D_GNU_SOURCE -g -O1 -I. -Wall -Wextra -Werror -fPIC -shared -o $@ $<

$(B)/torture/torture: $(call OBJECTS,$(filter-out tests/torture/fault.c,$(wildcard tests/torture/*.c))) $(STAGE)
	@mkdir -p $(@D)
	$(if $(V),,@echo "LINK $@")
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

# Death under load, then every Nth write, sync, send and allocation of a day fails. Bounded by TORTURE_SECONDS, and taken up
# again where it was left: tests/torture/README.md.
TORTURE_SECONDS ?= 1800
TORTURE_PARTS := $(B)/quietarm $(B)/demo/carrier $(B)/torture/torture $(B)/torture/fault.so
torture: $(TORTURE_PARTS)
	@rm -rf $(B)/torture/kill && mkdir -p $(B)/torture/days
	$(B)/torture/torture --kill 200 $(B) $(B)/torture/kill
	$(B)/torture/torture --sweep --seconds $(TORTURE_SECONDS) $(B) $(B)/torture/days

torture-short: $(TORTURE_PARTS)
	@rm -rf $(B)/torture/kill $(B)/torture/short
	@$(B)/torture/torture --kill 5 $(B) $(B)/torture/kill
	@mkdir -p $(B)/torture/trouble
	@$(B)/torture/torture --trouble all $(B) $(B)/torture/trouble
	@$(B)/torture/torture --each 3 $(B) $(B)/torture/short

# An hour of the stepped clock under load in so many real seconds: memory and descriptors stay where they are.
SOAK_SECONDS ?= 180
soak: $(TORTURE_PARTS)
	@mkdir -p $(B)/torture
	$(B)/torture/torture --soak $(SOAK_SECONDS) $(B) $(B)/torture/soak

soak-short: $(TORTURE_PARTS)
	@mkdir -p $(B)/torture
	@$(B)/torture/torture --soak 12 $(B) $(B)/torture/soak

# -- read by programs -------------------------------------------------------------------------------------------------------
PRODUCT := $(sort $(foreach r,$(ROOMS),$(wildcard $(r)/*.c)))
ANALYZED := $(PRODUCT:%.c=$(B)/analyzed/%)
$(B)/analyzed/%: %.c $(wildcard $(addsuffix /*.h,$(ROOMS))) $(wildcard parser/lexicon/*.h)
	@mkdir -p $(@D)
	@clang --analyze -Xclang -analyzer-output=text -Xclang -analyzer-werror -std=gnu17 -D_GNU_SOURCE -I. $(PKG_CFLAGS) \
	    -Xclang -analyzer-checker=core,deadcode,unix,nullability,optin.portability -o /dev/null $<
	@touch $@

analyze: deps
	@sh .ci/deps cppcheck
	@$(MAKE) --no-print-directory -j2 analyzed
	@cppcheck --quiet --std=c11 --language=c --force --inline-suppr --enable=warning,portability --error-exitcode=1 \
	    --suppressions-list=tests/cppcheck.supp -D_GNU_SOURCE -I. -j2 $(ROOMS)
	@echo "analyze: $(words $(PRODUCT)) files, no finding"

analyzed: $(ANALYZED)

# -- the package, and how hard the program is -----------------------------------------------------------------------------
deb: $(B)/quietarm
	@sh .ci/deps dpkg-dev fakeroot
	@sh gateway/debian/build $(B)/quietarm $(B)/deb

# In a fresh Debian; needs root and a mirror.
deb-check: deb
	@sh .ci/deps debootstrap lintian
	lintian --fail-on error,warning $(B)/deb/*.deb
	@sh tests/package/run $(B)/deb/quietarm_*.deb $(B)/deb/check

hardened: $(B)/quietarm
	@sh tests/hardened $(B)/quietarm

.PHONY: analyze analyzed deb deb-check hardened soak soak-short torture torture-short
