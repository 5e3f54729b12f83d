/* Time of one outlook: 60 readings, 90 days ahead, with and without daily weather; budget 1 ms. Then 1,000 tanks. */
#include "calc/outlook.h"
#include "calc/vessel.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define TODAY 20574
#define READINGS 60
#define RUNS 301

static const struct vessel tote = {
    .shape = VESSEL_BOX, .floor_mm = {640, 390}, .rim_mm = {720, 460}, .height_mm = 360, .corner_mm = 40};
static struct outlook_reading reading[READINGS];
static struct outlook_weather weather[READINGS];
static struct outlook_planting planting;

/* Of this process alone: the machine may be busy with other things. */
static double now_ms(void)
{
    struct timespec at;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return (double)at.tv_sec * 1e3 + (double)at.tv_nsec / 1e6;
}

static void ask(struct outlook_given *given)
{
    outlook_given_init(given);
    given->today = TODAY;
    given->vessel = &tote;
    given->start_mm = 320;
    given->low_mm = 60;
    given->climate.latitude_deg = 45.0;
    for (int m = 0; m < 12; m++)
        given->climate.monthly[m] = (struct outlook_month){8, 18, 70, 2, 6};
    planting = (struct outlook_planting){crops_find("lettuce-leaf"), 6, TODAY - READINGS, DAYS_NONE, DAYS_NONE};
    given->planting = &planting;
    given->planting_count = 1;
    for (int i = 0; i < READINGS; i++) {
        reading[i] = (struct outlook_reading){(int64_t)(TODAY - READINGS + i) * DAYS_MS + DAYS_MS / 3,
                                              320.0 - 0.05 * i * i + (i * 7 % 5 - 2), OUTLOOK_DIPSTICK};
        weather[i] = (struct outlook_weather){TODAY - READINGS + i, 8.0 + i % 7, 18.0 + i % 5, NAN, NAN, NAN, NAN};
    }
    given->reading = reading;
    given->reading_count = READINGS;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return x < y ? -1 : x > y;
}

static double median_ms(const struct outlook_given *given)
{
    static struct outlook outlook;
    double took[RUNS];

    for (int i = 0; i < RUNS; i++) {
        double start = now_ms();

        if (outlook_make(given, &outlook, NULL))
            abort();
        took[i] = now_ms() - start;
    }
    qsort(took, RUNS, sizeof *took, by_size);
    return took[RUNS / 2];
}

int main(void)
{
    static struct outlook outlook;
    struct outlook_given given;
    double start, plain;

    ask(&given);
    plain = median_ms(&given);
    printf("one outlook, 60 readings, 90 days ahead: median %.3f ms of %d (budget 1 ms)\n", plain, RUNS);
    given.weather = weather;
    given.weather_count = READINGS;
    printf("the same with 60 days of weather: median %.3f ms\n", median_ms(&given));
    start = now_ms();
    for (int i = 0; i < 1000; i++)
        outlook_make(&given, &outlook, NULL);
    printf("1,000 tanks: %.0f ms (budget 1000 ms)\n", now_ms() - start);
    return plain <= 1.0 ? 0 : 1;
}
