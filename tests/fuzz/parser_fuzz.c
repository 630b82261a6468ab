/* libFuzzer harness for the parser: any bytes, any day of receipt. Finds crashes, reads beyond buffers, undefined
 * behaviour, and claims of the contract: no reading out of range, none in the future; an absence ends within a
 * year. Build with
 * clang -fsanitize=fuzzer,address,undefined; the first two bytes choose the moment of receipt.
 */
#include <assert.h>
#include <stdlib.h>

#include "parser/parser.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static struct parser *p;
    static struct meaning m;
    char why[256];
    if (p == NULL && parser_open(&p, NULL, 0, why, sizeof why) < 0) {
        abort();
    }
    struct moment received = {2026, 1, 1, 0};
    if (size >= 2) {
        received.month = 1 + data[0] % 12;
        received.day = 1 + data[0] / 12;
        received.minute = data[1] * 5 % 1440;
        data += 2;
        size -= 2;
    }
    parser_read(p, (const char *)data, size, received, &m);
    for (size_t i = 0; i < m.readings.n; i++) {
        const struct said *s = &m.readings.at[i];
        assert(s->sys >= 50 && s->sys <= 300 && s->dia >= 20 && s->dia <= 200);
        assert(s->day == DAY_UNSAID || (s->day <= 0 && s->day >= -7));
        assert(s->minute >= MINUTE_UNSAID && s->minute < 1440);
    }
    assert(m.away_days >= AWAY_OVER && m.away_days <= 366);
    assert(m.away_days <= 0 || m.news & (NEWS_AWAY | NEWS_IN_HOSPITAL));
    assert(m.away_from >= 0 && m.away_from <= 366 && (m.away_days <= 0 || m.away_from < m.away_days));
    free(meaning_json(&m));
    return 0;
}
