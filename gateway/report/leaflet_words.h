/* The words of the handout, a language each. Private to the room and its tests. */
#ifndef QUIETARM_LEAFLET_WORDS_H
#define QUIETARM_LEAFLET_WORDS_H

#include <stdint.h>

enum { LEAFLET_EXAMPLES = 3 };
#define LEAFLET_DATE INT64_C(1764028800) /* 2025-11-25: changes with the words */

struct leaflet_example {
    const char *what, *text; /* text: such as the parser reads */
};

struct leaflet_words {
    const char *language, *title, *text_to, *ring;
    const char *when_for, *when; /* the number of days stands between them */
    const char *posture, *cuff, *midpoint;
    struct leaflet_example examples[LEAFLET_EXAMPLES];
    const char *emergency, *closed; /* each followed by a number */
    const char *foot;
};

const struct leaflet_words *leaflet_words(const char *language); /* NULL */

#endif
