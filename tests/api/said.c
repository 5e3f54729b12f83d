/* What the daemon says, it says in German, too: every sentence of a fault and of a caution, read out of the sources, and samples of
 * those that are put together. Languages: ours. */
#include <dirent.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/said.h"
#include "api/words.h"
#include "runner.h"

static struct words *words;
static struct arena arena;
static size_t asked, missing;

static void open_words(void)
{
    struct fault fault = {0};

    words = words_load(source_path("www"), &fault);
    ck_assert_msg(words != NULL, "%s", fault.item[0].detail);
}

static void close_words(void)
{
    words_free(words);
    arena_end(&arena);
}

static const char *german(const char *english)
{
    return said_in(words_said(words), 1, english, &arena);
}

/* A sentence as it might come out of a format: 7.5 for a number, X for a text. */
static void sample(const char *format, char *to, size_t size)
{
    size_t used = 0;

    for (const char *at = format; *at && used + 8 < size;) {
        if (*at == '\\') {
            at++;
        } else if (*at == '%' && at[1] == '%') {
            at++;
        } else if (*at == '%') {
            at += 1 + strspn(at + 1, "-+ #0123456789.*hlzj");
            used += (size_t)snprintf(to + used, size - used, "%s", *at == 's' || *at == 'c' ? "X" : strchr("diu", *at) ? "7" : "7.5");
            at++;
            continue;
        }
        to[used++] = *at++;
    }
    to[used] = '\0';
}

static void ask(const char *format, const char *file)
{
    char english[512];
    const char *told;

    if (format[0] == '/' || format[0] == '%' || strlen(format) < 4 || !strpbrk(format, "aeiou"))
        return; /* pointers, "%s" */
    if (!strchr(format, ' ') && strchr(format, '.'))
        return; /* a key of the words of pages */
    sample(format, english, sizeof english);
    told = german(english);
    asked++;
    if (strcmp(told, english) == 0) {
        fprintf(stderr, "%s says \"%s\"\n", file, format);
        missing++;
    }
    ck_assert_msg(!strchr(told, '{'), "a place without a value: %s", told);
}

/* The literals among a call's arguments, those that stand side by side joined. Returns where the call ends. */
static const char *literals(const char *at, const char *file)
{
    char format[512] = "";
    bool found = false;

    for (int depth = 1; *at && depth > 0; at++) {
        if (*at == '"') {
            size_t used = strlen(format);

            for (at++; *at != '"'; at++) {
                if (used + 2 < sizeof format)
                    format[used++] = *at;
                if (*at == '\\' && used + 2 < sizeof format)
                    format[used++] = *++at;
            }
            format[used] = '\0';
            found = true;
            continue;
        }
        if (found && !strchr(" \n\t", *at)) {
            ask(format, file);
            format[0] = '\0';
            found = false;
        }
        depth += *at == '(' ? 1 : *at == ')' ? -1 : 0;
    }
    return at;
}

static char *read_whole(const char *path)
{
    FILE *stream = fopen(path, "r");
    char *text = calloc(1, (size_t)1 << 20);

    ck_assert_ptr_nonnull(stream);
    ck_assert_ptr_nonnull(text);
    ck_assert_uint_gt(fread(text, 1, ((size_t)1 << 20) - 1, stream), 0);
    fclose(stream);
    return text;
}

static void ask_file(const char *path, const char *const *calls)
{
    char *text = read_whole(path);

    for (; *calls; calls++)
        for (const char *at = text; (at = strstr(at, *calls)) != NULL;)
            at = literals(at + strlen(*calls), path);
    free(text);
}

/* Calls whose literals are whole sentences, wherever they stand. */
static const char *const everywhere[] = {"fault_add(", "refuse(", "warn(", "caution(", "problem_reply_status(", NULL};
/* Files whose printed texts are whole sentences, too. */
static const char *const whole[] = {"calc/topup.c", "calc/recipe_why.c", "calc/compare.c", "calc/water.c", "calc/ec_meter.c"};
static const char *const printed[] = {"snprintf(text,", "snprintf(item->text, sizeof item->text,", "snprintf(answer.said, sizeof answer.said,",
                                      "snprintf(check->said, sizeof check->said,", NULL};

START_TEST(each_sentence_in_the_sources_has_its_german)
{
    static const char *const layers[] = {"api", "calc", "garden", "store", "format"};
    char path[4096];

    for (size_t i = 0; i < COUNT(layers); i++) {
        DIR *folder;
        struct dirent *file;

        snprintf(path, sizeof path, "src/%s", layers[i]);
        folder = opendir(source_path(path));
        ck_assert_ptr_nonnull(folder);
        while ((file = readdir(folder)) != NULL) {
            size_t length = strlen(file->d_name);

            if (length < 3 || strcmp(file->d_name + length - 2, ".c") != 0)
                continue;
            snprintf(path, sizeof path, "src/%s/%s", layers[i], file->d_name);
            ask_file(source_path(path), everywhere);
        }
        closedir(folder);
    }
    for (size_t i = 0; i < COUNT(whole); i++) {
        snprintf(path, sizeof path, "src/%s", whole[i]);
        ask_file(source_path(path), printed);
    }
    ck_assert_msg(missing == 0, "%zu sentences have no German in www/words/de-said.json", missing);
    ck_assert_uint_gt(asked, 400);
}
END_TEST

/* Put together from parts, as calc/mixing, precipitate, concentrate, acid, drift and garden/mix do. */
static const struct {
    const char *english, *german;
} samples[] = {
    {"must be from 0 to 2000, was 2000.5", "muss zwischen 0 und 2000 liegen, war 2000,5"},
    {"must be from 0 to 332 mm, the rim, was 400", "muss zwischen 0 und 332 mm liegen, dem Rand, war 400"},
    {"At 1.35 mS/cm the solution is weaker than its target.", "Mit 1,35 mS/cm ist die Lösung schwächer als ihr Ziel."},
    {"It is potassium that runs short first.", "Zuerst wird Kalium knapp."},
    {"iron is 12 % short: all of the boric acid is used", "Eisen fehlt zu 12 %: Borsäure ist ganz verbraucht"},
    {"All in one jug of 2.1 L: up to 3.4 g of lime (calcite) and 0.5 g of gypsum will fall out and take 12 % of the calcium, 3 % of the sulfur along.",
     "Alles in einem Krug von 2,1 L: bis zu 3,4 g Kalk (Calcit) und 0,5 g Gips fallen aus und nehmen 12 % vom Kalzium und 3 % vom Schwefel mit."},
    {"The calcium comes last: it meets sulfate and phosphate only when they are spread through the whole tank. Nearest to falling out is gypsum, "
     "0.6 below where it would begin; in the worst order it would come 0.2 nearer.",
     "Das Kalzium kommt zuletzt: Es trifft Sulfat und Phosphat erst, wenn sie im ganzen Becken verteilt sind. Am nächsten am Ausfallen ist Gips, "
     "0,6 unter dem Punkt, an dem es begänne; in der schlechtesten Reihenfolge käme es 0,2 näher."},
    {"Dissolve 31.5 g of potassium nitrate in 0.9 L of water (at least 0.12 L); pour it slowly into the tank and stir until clear.",
     "Löse 31,5 g Kaliumnitrat in 0,9 L Wasser (mindestens 0,12 L); gieße es langsam ins Becken und rühre, bis es klar ist."},
    {"From 95 to 20 L: EC from 1.4 to 2.2 mS/cm, pH from 6.0 to 6.4. NO3 is used up at 31 L.",
     "Von 95 auf 20 L: EC von 1,4 auf 2,2 mS/cm, pH von 6,0 auf 6,4. NO3 ist bei 31 L verbraucht."},
    {"In one bottle 12 times would be the most; in 2, stock A ends at 140 times by the solubility of potassium nitrate.",
     "In einer Flasche wäre 12-fach das Höchste; in 2 endet Stammlösung A beim 140-fachen, begrenzt durch die Löslichkeit von Kaliumnitrat."},
    {"The leaflets' rule gives 9 % more: it keeps a fixed 31 % of the alkalinity and leaves out the carbon dioxide that the water held before and its salts.",
     "Die Faustregel der Merkblätter ergibt 9 % mehr: Sie lässt feste 31 % der Alkalinität stehen und übergeht das Kohlendioxid, das schon im Wasser war und "
     "seine Salze."},
    {"95 L weigh about 95 kg: mix where the tank will stand; do not carry or stack it when it is full.",
     "95 L wiegen etwa 95 kg: Mische dort, wo das Becken stehen soll; voll nicht tragen oder stapeln."},
    {"Grandmother's own words stay.", "Grandmother's own words stay."},
};

START_TEST(samples_come_out_whole)
{
    ck_assert_str_eq(german(samples[_i].english), samples[_i].german);
    ck_assert_str_eq(said_in(words_said(words), 0, samples[_i].english, &arena), samples[_i].english);
}
END_TEST

START_TEST(who_asks_chooses_the_language)
{
    static const struct {
        const char *accepted;
        int language;
    } asks[] = {{NULL, 0}, {"", 0}, {"de", 1}, {"de-AT,en;q=0.5", 1}, {"fr, de;q=0.8", 1}, {"en-GB,de", 0}, {"den", 0}, {"es", 0}};

    for (size_t i = 0; i < COUNT(asks); i++)
        ck_assert_int_eq(said_language(asks[i].accepted), asks[i].language);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/said");
    TCase *tcase = tcase_create("sentences");

    tcase_add_checked_fixture(tcase, open_words, close_words);
    tcase_add_test(tcase, each_sentence_in_the_sources_has_its_german);
    tcase_add_loop_test(tcase, samples_come_out_whole, 0, COUNT(samples));
    tcase_add_test(tcase, who_asks_chooses_the_language);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
