/* The words of the handout: plain, about what an eleven-year-old reads. The Spanish is for review by a qualified translator
 * before use. Technique: sources in drawings.c; five minutes' rest, silent (ACC/AHA 2017); before breakfast and tablets.
 */
#include "gateway/report/leaflet_words.h"

#include <stddef.h>
#include <string.h>

static const struct leaflet_words all[] = {
    {
        .language = "en",
        .title = "Measure your blood pressure at home",
        .text_to = "Text your readings to",
        .ring = "To speak to us, ring",
        .when_for = "For",
        .when = "days, measure after waking, before breakfast, and again before sleep. Measure before your medicine, then take "
                "it as usual. Each time measure twice, a minute apart, and text both. Send all, don't choose the best.",
        .posture = "Sit and rest for 5 minutes. Back against the chair, feet flat, arm on a table, cuff as high as your heart. "
                   "Don't talk.",
        .cuff = "Bare arm. Cuff two fingers above the crease of the elbow, so snug that two fingers fit under it. The tube runs "
                "along the inside of the arm.",
        .midpoint = "For the cuff's size: measure round the arm, halfway from the bony tip of the shoulder to the tip of the "
                    "elbow.",
        .examples = {{"Top, bottom, pulse:", "132/84 71"},
                     {"A slip:", "Sorry, 138/84 not 183/84"},
                     {"Arm and cuff:", "arm 31 cm, cuff 22-32 cm"}},
        .emergency = "Nobody watches these texts all the time. In an emergency ring",
        .closed = "When we are closed, ring",
        .foot = "Don't change your medicine because of a reading: ask us. What your monitor's leaflet says comes first. Text HELP "
                "for help, STOP to end the texts.",
    },
    {
        .language = "es",
        .title = "Mida su tensión en casa",
        .text_to = "Envíe sus mediciones al",
        .ring = "Para hablar con nosotros",
        .when_for = "Durante",
        .when = "días, mida al despertarse, antes de desayunar, y otra vez antes de dormir. Mida antes de su medicina y tómela "
                "después como siempre. Mida cada vez dos veces, con un minuto entre ellas, y envíe las dos. Envíe todas, sin "
                "elegir.",
        .posture = "Siéntese y descanse 5 minutos. Espalda apoyada, pies planos, brazo en la mesa, manguito a la altura del "
                   "corazón. No hable.",
        .cuff = "Brazo desnudo. Manguito dos dedos por encima del pliegue del codo; deben caber dos dedos debajo. El tubo va por "
                "dentro del brazo.",
        .midpoint = "Para el tamaño del manguito: mida el contorno del brazo, a la mitad entre el hueso del hombro y la punta del "
                    "codo.",
        .examples = {{"Alta, baja, pulso:", "132/84 71"},
                     {"Un error:", "Perdón, 138/84, no 183/84"},
                     {"Brazo:", "brazo 31 cm, manguito 22-32 cm"}},
        .emergency = "Nadie vigila estos mensajes sin descanso. En una urgencia llame al",
        .closed = "Si está cerrado, llame al",
        .foot = "No cambie su medicina por una medición: pregúntenos. Lo que dice el folleto de su aparato va primero. Envíe AYUDA "
                "para pedir ayuda, STOP para terminar.",
    },
};

const struct leaflet_words *leaflet_words(const char *language)
{
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (strcmp(all[i].language, language) == 0)
            return &all[i];
    return NULL;
}
