/* The outlook against simulated tanks under real daily weather, and under invented weather where none can be had.
 * Prints the error table, the cover of the 80 % band, and the tanks where it was most wrong.
 */
#include "simulator/accuracy.h"

#include <stdio.h>
#include <stdlib.h>

#define TANKS 600
#define PLACES 8

static struct sim_place place[PLACES];

/* The records that tests/simulator/fetch-weather brings into the build folder. */
static size_t real_places(const struct sim_place **to)
{
    char path[4096], fetch[8400];
    const char *build = getenv("TIDEMARK_BUILDDIR"), *source = getenv("TIDEMARK_SRCDIR");
    size_t count = 0;

    snprintf(fetch, sizeof fetch, "'%s/tests/simulator/fetch-weather' '%s/weather'", source ? source : ".", build ? build : ".");
    if (system(fetch) != 0) /* without it the files are missing, which is said below */
        return 0;
    snprintf(path, sizeof path, "%s/weather/weather.csv", build ? build : ".");
    if (sim_place_read(&place[0], path, "Seattle", 47.45, 113.0, 1))
        to[count++] = &place[0];
    if (sim_place_read(&place[1], path, "New York", 40.78, 40.0, 2))
        to[count++] = &place[1];
    return count;
}

int main(int argc, char **argv)
{
    static struct accuracy accuracy;
    const struct sim_place *to[PLACES];
    uint64_t seed = argc > 1 ? strtoull(argv[1], NULL, 10) : 20260501;
    size_t real = real_places(to), count = 0;

    if (real) {
        accuracy_measure(to, real, TANKS, seed, ACCURACY_NORMALS, &accuracy);
        accuracy_print("real weather of Seattle and New York, 2012 to 2015, and indoors", &accuracy);
        accuracy_measure(to, real, TANKS, seed, ACCURACY_LATITUDE, &accuracy);
        accuracy_print("the same, but only the latitude of the place is told", &accuracy);
    } else
        printf("no real weather at hand: tests/simulator/fetch-weather needs npm and a network\n");
    for (; count < sim_climate_count; count++) {
        sim_place_invent(&place[2 + count], &sim_climates[count], 100 + count);
        to[count] = &place[2 + count];
    }
    accuracy_measure(to, count, TANKS, seed + 1000000, ACCURACY_NORMALS, &accuracy);
    accuracy_print("invented weather of six climates, and indoors", &accuracy);
    accuracy_measure(to, count, TANKS, seed + 1000000, ACCURACY_LATITUDE, &accuracy);
    accuracy_print("the same, but only the latitude of the place is told", &accuracy);
    sim_place_invent(&place[0], &sim_mild_winter, 200);
    to[0] = &place[0];
    accuracy_measure(to, 1, TANKS / 3, seed + 2000000, ACCURACY_LATITUDE_COLD, &accuracy);
    accuracy_print("only the latitude is told, and by it nothing would grow", &accuracy);
    return 0;
}
