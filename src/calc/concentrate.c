/* concentrate.c - how far a recipe can be concentrated, and how to share its salts among bottles. */
#include "calc/concentrate.h"
#include "calc/precipitate.h"
#include "calc/solution_data.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SOLUBILITY_USED 0.9 /* a tenth in hand; ours */
#define SEARCHED_MOST 12    /* salts with ions that are shared out by trying */
#define SPLITS_MOST 200000  /* ways to share that are looked up; ours */
#define FACTOR_LEAST 2.0

static const enum solution_mineral judged[] = {MINERAL_GYPSUM, MINERAL_CALCITE, MINERAL_BRUSHITE, MINERAL_STRUVITE,
                                               MINERAL_ARCANITE};
#define JUDGED (sizeof judged / sizeof *judged)

/* Factors whose dose, 500 to 4 mL a litre, is easily measured: ours. */
static const double round_factors[] = {2, 2.5, 4, 5, 8, 10, 12.5, 20, 25, 40, 50, 80, 100, 125, 200, 250};
#define ROUND_FACTORS (sizeof round_factors / sizeof *round_factors)

struct kitchen {
    const struct concentrate_request *request;
    struct solution_input litre[CONCENTRATE_SALTS]; /* each salt at factor 1 */
    struct solution_input water;                    /* what stocks are judged in */
    double dissolves_g_kg[CONCENTRATE_SALTS];       /* at the coldest; 0: not known */
    bool inert[CONCENTRATE_SALTS];                  /* no ions */
    double most;
};

static void add_scaled(struct solution_input *to, const struct solution_input *from, double times)
{
    for (int i = 0; i < ION_TOTALS; i++)
        to->total_mmol_l[i] += times * from->total_mmol_l[i];
    for (int e = 0; e < ELEMENT_COUNT; e++)
        to->elements_mg_l[e] += times * from->elements_mg_l[e];
    to->alkalinity_mmol_l += times * from->alkalinity_mmol_l;
}

static struct solution_input stock_of(const struct kitchen *kitchen, const struct solution_input *water, unsigned held,
                                      double factor)
{
    struct solution_input stock = *water;

    for (size_t i = 0; i < kitchen->request->count; i++)
        if (held >> i & 1u)
            add_scaled(&stock, &kitchen->litre[i], factor);
    return stock;
}

static bool share_an_ion(const struct salt *a, const struct salt *b)
{
    for (int i = 0; i < ION_TOTALS; i++)
        if (a->ions[i] > 0.0 && b->ions[i] > 0.0)
            return true;
    return false;
}

/* The largest share of its solubility that a salt has used, together with those that share an ion with it. */
static double solubility_used(const struct kitchen *kitchen, unsigned held, double factor, double kgw_per_l, size_t *which)
{
    double most = 0.0;

    for (size_t i = 0; i < kitchen->request->count; i++) {
        double used = 0.0;

        if (!(held >> i & 1u) || kitchen->dissolves_g_kg[i] <= 0.0)
            continue;
        for (size_t k = 0; k < kitchen->request->count; k++)
            if (held >> k & 1u && kitchen->dissolves_g_kg[k] > 0.0 &&
                (k == i || share_an_ion(kitchen->request->salt[i].salt, kitchen->request->salt[k].salt)))
                used += factor * kitchen->request->salt[k].g_l / (kitchen->dissolves_g_kg[k] * kgw_per_l);
        if (used > most) {
            most = used;
            *which = i;
        }
    }
    return most;
}

struct verdict {
    enum concentrate_limit limit; /* CONCENTRATE_BY_NOTHING: it is fine */
    enum solution_mineral mineral;
    size_t salt;
    double saturation; /* highest of the judged minerals */
};

/* Whether these salts at this factor stay clear, and if not, why not. */
static struct verdict judge(const struct kitchen *kitchen, unsigned held, double factor)
{
    struct verdict verdict = {CONCENTRATE_BY_NOTHING, MINERAL_GYPSUM, 0, SATURATION_ABSENT};
    struct solution_input stock = stock_of(kitchen, &kitchen->water, held, factor);
    struct solution solved;

    if (solution_solve_without_ec(&stock, &solved, NULL)) {
        verdict.limit = CONCENTRATE_BY_MODEL;
        return verdict;
    }
    for (size_t i = 0; i < JUDGED; i++)
        if (solved.saturation[judged[i]] > verdict.saturation) {
            verdict.saturation = solved.saturation[judged[i]];
            verdict.mineral = judged[i];
        }
    if (verdict.saturation > -CONCENTRATE_MARGIN)
        verdict.limit = CONCENTRATE_BY_MINERAL;
    else if (solubility_used(kitchen, held, factor, solved.kgw_per_l, &verdict.salt) > SOLUBILITY_USED)
        verdict.limit = CONCENTRATE_BY_SOLUBILITY;
    return verdict;
}

/* ----------------------------------------------------------------------- splitting */

struct split {
    size_t stocks;
    unsigned held[CONCENTRATE_STOCKS];
    double factor;
    double heaviest_g_l; /* of any stock, at factor 1: of equal splits the most even one is taken */
};

static bool fine(const struct kitchen *kitchen, const struct split *split, double factor)
{
    for (size_t s = 0; s < split->stocks; s++)
        if (judge(kitchen, split->held[s], factor).limit != CONCENTRATE_BY_NOTHING)
            return false;
    return true;
}

/* The highest factor above `beat` at which one stock stays clear, or 0.
 *
 * Stronger mostly means nearer to falling out, but not always: in hard water a weak stock with phosphate clouds where a stronger, more
 * acid one does not. So it is also looked for at four times `beat`, and at the most.
 */
static double reach(const struct kitchen *kitchen, unsigned held, double beat)
{
    const double probes[] = {kitchen->most, fmin(4.0 * beat, kitchen->most), fmin(1.005 * beat, kitchen->most)};
    double low = 0.0, high = kitchen->most;

    for (size_t i = 0; i < sizeof probes / sizeof *probes && low == 0.0; i++) {
        if (judge(kitchen, held, probes[i]).limit == CONCENTRATE_BY_NOTHING)
            low = probes[i];
        else
            high = probes[i];
    }
    if (low == 0.0)
        return 0.0;
    while (high - low > 0.002 * low) {
        double middle = 0.5 * (low + high);

        if (judge(kitchen, held, middle).limit == CONCENTRATE_BY_NOTHING)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static double heaviest(const struct kitchen *kitchen, const struct split *split)
{
    double most = 0.0;

    for (size_t s = 0; s < split->stocks; s++) {
        double grams = 0.0;

        for (size_t i = 0; i < kitchen->request->count; i++)
            if (split->held[s] >> i & 1u)
                grams += kitchen->request->salt[i].g_l;
        most = fmax(most, grams);
    }
    return most;
}

/* What is known of each set of salts as one stock: its factor, or, negative, a factor that it does not reach; 0: nothing yet. */
struct known {
    float factor[1u << SEARCHED_MOST];
};

/* The factor of a set if it is above `beat`, else 0. set counts in index[], held in request.salt[]. */
static double factor_above(const struct kitchen *kitchen, struct known *known, unsigned set, unsigned held, double beat)
{
    float *of_set = &known->factor[set];

    if (*of_set == 0.0f || (*of_set < 0.0f && beat < (double)-*of_set)) {
        double factor = reach(kitchen, held, beat);

        *of_set = factor > 0.0 ? (float)factor : (float)-beat;
    }
    return (double)*of_set > beat ? (double)*of_set : 0.0;
}

static unsigned spread(unsigned set, const size_t index[])
{
    unsigned held = 0;

    for (size_t i = 0; set >> i; i++)
        if (set >> i & 1u)
            held |= 1u << index[i];
    return held;
}

/* The best way to share `count` salts (indices in index[]) among so many stocks. false where there are too many ways. */
static bool best_split(const struct kitchen *kitchen, struct known *known, size_t count, const size_t index[], size_t stocks,
                       struct split *best)
{
    size_t ways = 1;

    for (size_t i = 1; i < count; i++)
        if ((ways *= stocks) > SPLITS_MOST)
            return false;
    *best = (struct split){.stocks = stocks};
    for (size_t way = 0; way < ways; way++) {
        struct split split = {.stocks = stocks, .factor = kitchen->most};
        unsigned set[CONCENTRATE_STOCKS] = {count ? 1u : 0u};
        double beat = fmax(FACTOR_LEAST, best->factor * 0.995);
        size_t rest = way;

        for (size_t i = 1; i < count; i++, rest /= stocks)
            set[rest % stocks] |= 1u << i;
        for (size_t s = 0; s < stocks && split.factor > 0.0; s++) {
            double factor;

            split.held[s] = spread(set[s], index);
            factor = factor_above(kitchen, known, set[s], split.held[s], beat);
            split.factor = factor > 0.0 ? fmin(split.factor, factor) : 0.0;
        }
        if (split.factor == 0.0)
            continue;
        split.heaviest_g_l = heaviest(kitchen, &split);
        if (split.factor > best->factor * 1.01 ||
            (split.factor >= best->factor * 0.999 && split.heaviest_g_l < best->heaviest_g_l))
            *best = split;
    }
    return true;
}

/* -------------------------------------------------------------------------- telling */

static void tell_limit(const struct kitchen *kitchen, unsigned held, double factor, struct concentrate_stock *stock)
{
    struct verdict verdict;

    stock->factor_alone = fmax(reach(kitchen, held, factor), factor);
    verdict = judge(kitchen, held, fmin(stock->factor_alone * 1.01, kitchen->most));
    stock->limit = verdict.limit;
    stock->mineral = verdict.mineral;
    stock->limiting_salt = verdict.salt;
}

/* A line of the bottle's label; a piece that does not fit begins the next one. */
static void label_add(struct concentrate_stock *stock, size_t *line, size_t last, const char *piece)
{
    size_t used = strlen(stock->label[*line]);

    if (used && used + strlen(piece) + 2 >= sizeof stock->label[0] && *line < last) {
        ++*line;
        used = 0;
    }
    snprintf(stock->label[*line] + used, sizeof stock->label[0] - used, "%s%s", used ? ", " : "", piece);
}

static void tell_label(const struct kitchen *kitchen, const struct concentrate *concentrate, struct concentrate_stock *stock)
{
    size_t line = 1;

    snprintf(stock->label[0], sizeof stock->label[0], "Stock %s, %g times: shake, %.4g mL per litre of finished solution",
             stock->name, concentrate->factor, concentrate->dose_ml_l);
    for (size_t i = 0; i < stock->count; i++) {
        const struct salt *salt = kitchen->request->salt[stock->salt[i].index].salt;
        char piece[96];

        snprintf(piece, sizeof piece, "%.*f g/L %s", stock->salt[i].g_l < 10.0 ? 2 : 1, stock->salt[i].g_l, salt->name);
        label_add(stock, &line, 3, piece);
    }
    snprintf(stock->label[line + 1], sizeof stock->label[0],
             "Never pour undiluted into another stock. Not to drink; keep from children.");
    if (line + 2 < 6)
        snprintf(stock->label[line + 2], sizeof stock->label[0], "Made on:            not colder than %g C",
                 kitchen->request->water.temperature_c);
}

static void tell_stock(const struct kitchen *kitchen, const struct concentrate *concentrate, unsigned held,
                       struct concentrate_stock *stock)
{
    struct solution_input litre = stock_of(kitchen, &kitchen->request->water, held, concentrate->factor);
    struct precipitate precipitate;

    for (size_t i = 0; i < kitchen->request->count; i++)
        if (held >> i & 1u) {
            stock->salt[stock->count].index = i;
            stock->salt[stock->count++].g_l = concentrate->factor * kitchen->request->salt[i].g_l;
            stock->kg_l_of_salts += concentrate->factor * kitchen->request->salt[i].g_l / 1000.0;
        }
    stock->saturation = judge(kitchen, held, concentrate->factor).saturation;
    stock->ph = stock->ec_ms_cm = NAN;
    if (precipitate_equilibrium(&litre, &precipitate, NULL) == 0) {
        stock->ph = precipitate.after.ph;
        stock->ec_ms_cm = precipitate.after.ec_ms_cm;
        stock->haze_g_l = precipitate.g_l;
    }
    tell_limit(kitchen, held, concentrate->factor, stock);
    tell_label(kitchen, concentrate, stock);
}

static void warn(struct concentrate *concentrate, const char *text)
{
    if (concentrate->cautions < CONCENTRATE_CAUTIONS)
        concentrate->caution[concentrate->cautions++] = text;
}

static void gather_cautions(const struct kitchen *kitchen, struct concentrate *concentrate)
{
    bool nitrate = false, unknown = false;

    for (size_t i = 0; i < kitchen->request->count; i++) {
        nitrate = nitrate || kitchen->request->salt[i].salt->ions[ION_NO3] > 0.0;
        unknown = unknown || (kitchen->dissolves_g_kg[i] <= 0.0 && kitchen->request->salt[i].g_l > 0.05);
    }
    warn(concentrate, "Add each stock to the full tank and stir before the next; stocks poured together undiluted fall out as "
                      "gypsum and phosphate.");
    warn(concentrate, "Label every bottle, never use a drink bottle, and lock the stocks away from children and animals.");
    warn(concentrate, "Keep stocks dark and no colder than computed for: below that, salts crystallise; warm and shake until "
                      "clear before dosing.");
    warn(concentrate, "Wear goggles and gloves when dissolving; some salts chill the water, some heat it.");
    if (nitrate)
        warn(concentrate,
             "Dry nitrates feed a fire: store them away from fuel, sawdust, paper and heat; follow local rules on quantities.");
    if (concentrate->water_clouds)
        warn(concentrate,
             "This water holds lime that clouds any stock made with it: use rain or demineralised water, or acidify it first.");
    if (unknown)
        warn(concentrate,
             "Of a blend no solubility is known: dissolve a trial jar at this strength and let it stand cold for a day first.");
    warn(concentrate,
         "Left-over stock is fertilizer: water garden beds with it, well diluted; do not pour it into drains, ditches or ponds.");
}

static const char *limit_words(const struct kitchen *kitchen, const struct concentrate_stock *stock, char *text, size_t size)
{
    if (stock->limit == CONCENTRATE_BY_MINERAL)
        snprintf(text, size, "%s", solution_mineral_key[stock->mineral]);
    else if (stock->limit == CONCENTRATE_BY_SOLUBILITY)
        snprintf(text, size, "the solubility of %s", kitchen->request->salt[stock->limiting_salt].salt->name);
    else
        snprintf(text, size, "what can be computed");
    return text;
}

static void tell_why(const struct kitchen *kitchen, struct concentrate *concentrate)
{
    const struct concentrate_stock *tightest = &concentrate->stock[0];
    char words[96], ends[200];

    for (size_t s = 1; s < concentrate->stocks; s++)
        if (concentrate->stock[s].factor_alone < tightest->factor_alone)
            tightest = &concentrate->stock[s];
    if (tightest->limit == CONCENTRATE_BY_NOTHING)
        snprintf(ends, sizeof ends, "in %zu all reach the %.0f times that were looked at", concentrate->stocks,
                 tightest->factor_alone);
    else
        snprintf(ends, sizeof ends, "in %zu, stock %s ends at %.0f times by %s", concentrate->stocks, tightest->name,
                 tightest->factor_alone, limit_words(kitchen, tightest, words, sizeof words));
    if (concentrate->all_in_one_factor < FACTOR_LEAST)
        snprintf(concentrate->why, sizeof concentrate->why, "In one bottle it cannot be concentrated even twice; %s.", ends);
    else
        snprintf(concentrate->why, sizeof concentrate->why, "In one bottle %.0f times would be the most; %s.",
                 floor(concentrate->all_in_one_factor), ends);
}

/* ---------------------------------------------------------------------------- whole */

static int prepare(const struct concentrate_request *request, struct kitchen *kitchen, struct fault *fault)
{
    struct solution solved;
    int bad = 0;

    if (request->count < 1 || request->count > CONCENTRATE_SALTS)
        return fault_add(fault, FAULT_INPUT, "/salts", "must be 1 to %d salts, were %zu", CONCENTRATE_SALTS, request->count);
    if (request->stocks == 1 || request->stocks > CONCENTRATE_STOCKS)
        bad = fault_add(fault, FAULT_INPUT, "/stocks", "must be 2 to %d, or 0 to choose, was %zu", CONCENTRATE_STOCKS,
                        request->stocks);
    if (!(request->factor_most == 0.0 || (request->factor_most >= 2.0 && request->factor_most <= CONCENTRATE_FACTOR_MOST)))
        bad = fault_add(fault, FAULT_INPUT, "/factor_most", "must be from 2 to %g, was %g", CONCENTRATE_FACTOR_MOST,
                        request->factor_most);
    if (solution_solve(&request->water, &solved, fault))
        return -1;
    kitchen->request = request;
    kitchen->water = request->water;
    kitchen->most = request->factor_most > 0.0 ? request->factor_most : CONCENTRATE_FACTOR_MOST;
    for (size_t i = 0; i < request->count; i++) {
        bool exact;
        char at[40];

        snprintf(at, sizeof at, "/salts/%zu/g_l", i);
        if (!(request->salt[i].g_l > 0.0 && request->salt[i].g_l <= 50.0)) {
            bad = fault_add(fault, FAULT_INPUT, at, "must be above 0 and at most 50 g/L of finished solution, was %g",
                            request->salt[i].g_l);
            continue;
        }
        solution_begin(&kitchen->litre[i], 25.0);
        solution_add_salt(&kitchen->litre[i], request->salt[i].salt, request->salt[i].g_l, NULL);
        kitchen->inert[i] = true;
        for (int ion = 0; ion < ION_COUNT; ion++)
            kitchen->inert[i] = kitchen->inert[i] && request->salt[i].salt->ions[ion] == 0.0;
        if (salts_solubility(request->salt[i].salt, request->water.temperature_c, &kitchen->dissolves_g_kg[i], &exact, NULL))
            kitchen->dissolves_g_kg[i] = 0.0;
    }
    return bad;
}

/* Two stocks, or as many as are asked for; three where that lifts the factor by half. */
static int choose_split(const struct kitchen *kitchen, size_t count, const size_t index[], struct split *best,
                        struct fault *fault)
{
    size_t stocks = kitchen->request->stocks ? kitchen->request->stocks : 2;
    struct known known;

    memset(&known, 0, sizeof known);
    if (!best_split(kitchen, &known, count, index, stocks, best))
        return fault_add(fault, FAULT_INPUT, "/stocks", "%zu salts can be shared among %zu stocks in too many ways to try", count,
                         stocks);
    if (kitchen->request->stocks == 0 && count > 2 && best->factor < kitchen->most) {
        struct split three;

        if (best_split(kitchen, &known, count, index, 3, &three) && three.factor >= 1.5 * best->factor)
            *best = three;
    }
    return 0;
}

/* Stock A is the one with the most calcium; chelated iron goes there, other salts without ions to B (common practice, no source). */
static void arrange(const struct kitchen *kitchen, struct split *split)
{
    size_t most = 0;
    double calcium_most = -1.0;
    unsigned swap;

    for (size_t s = 0; s < split->stocks; s++) {
        double calcium = 0.0;

        for (size_t i = 0; i < kitchen->request->count; i++)
            if (split->held[s] >> i & 1u)
                calcium += kitchen->litre[i].total_mmol_l[ION_CA];
        if (calcium > calcium_most) {
            calcium_most = calcium;
            most = s;
        }
    }
    swap = split->held[0];
    split->held[0] = split->held[most];
    split->held[most] = swap;
    for (size_t i = 0; i < kitchen->request->count; i++)
        if (kitchen->inert[i])
            split->held[kitchen->request->salt[i].salt->atoms[ELEMENT_FE] > 0.0 ? 0 : 1] |= 1u << i;
}

int concentrate_split(const struct concentrate_request *request, struct concentrate *concentrate, struct fault *fault)
{
    struct kitchen kitchen;
    struct concentrate answer;
    struct split best;
    unsigned all = 0;
    size_t index[CONCENTRATE_SALTS], count = 0;

    memset(&kitchen, 0, sizeof kitchen);
    memset(&answer, 0, sizeof answer);
    if (prepare(request, &kitchen, fault))
        return -1;
    for (size_t i = 0; i < request->count; i++) {
        all |= 1u << i;
        if (!kitchen.inert[i])
            index[count++] = i;
    }
    if (count > SEARCHED_MOST)
        return fault_add(fault, FAULT_INPUT, "/salts", "at most %d salts with ions can be shared among stocks, were %zu",
                         SEARCHED_MOST, count);
    if (choose_split(&kitchen, count, index, &best, fault))
        return -1;
    if (best.factor < 10.0) {
        /* Lime in the water clouds weak and strong stocks alike: judge the salts by themselves, and say what settles. */
        struct split without;

        solution_begin(&kitchen.water, request->water.temperature_c);
        if (choose_split(&kitchen, count, index, &without, fault))
            return -1;
        if (without.factor > best.factor * 1.5) {
            best = without;
            answer.water_clouds = true;
        } else {
            kitchen.water = request->water;
        }
    }
    if (best.factor < FACTOR_LEAST)
        return fault_add(fault, FAULT_INPUT, "", "this recipe cannot be concentrated even twice: a salt of it hardly dissolves");
    arrange(&kitchen, &best);
    answer.factor_exact = answer.factor = best.factor;
    for (size_t i = 0; i < ROUND_FACTORS; i++)
        if (round_factors[i] <= best.factor * 1.0001 && fine(&kitchen, &best, round_factors[i]))
            answer.factor = round_factors[i];
    answer.dose_ml_l = 1000.0 / answer.factor;
    answer.stocks = best.stocks;
    answer.all_in_one_factor = reach(&kitchen, all, 1.0);
    for (size_t s = 0; s < best.stocks; s++) {
        snprintf(answer.stock[s].name, sizeof answer.stock[s].name, "%c", (char)('A' + s));
        tell_stock(&kitchen, &answer, best.held[s], &answer.stock[s]);
    }
    tell_why(&kitchen, &answer);
    gather_cautions(&kitchen, &answer);
    *concentrate = answer;
    return 0;
}

int concentrate_reaches(const struct concentrate_request *request, enum solution_mineral mineral, double index, double *factor,
                        bool *already, struct fault *fault)
{
    struct kitchen kitchen;
    unsigned all;
    double low = 1.0, step = 1.04;

    memset(&kitchen, 0, sizeof kitchen);
    if (prepare(request, &kitchen, fault))
        return -1;
    all = (1u << request->count) - 1u;
    *already = false;
    for (double at = 1.0;; at = fmin(at * step, kitchen.most)) {
        struct solution_input stock = stock_of(&kitchen, &kitchen.water, all, at);
        struct solution solved;

        *factor = INFINITY;
        if (solution_solve_without_ec(&stock, &solved, NULL))
            return 0; /* too strong to be computed */
        if (solved.saturation[mineral] == SATURATION_ABSENT) {
            *factor = NAN;
            return 0;
        }
        if (solved.saturation[mineral] >= index) {
            double high = at;

            *already = at == 1.0;
            while (high - low > 1e-6 * low) {
                double middle = 0.5 * (low + high);

                stock = stock_of(&kitchen, &kitchen.water, all, middle);
                if (solution_solve_without_ec(&stock, &solved, fault))
                    return -1;
                if (solved.saturation[mineral] >= index)
                    high = middle;
                else
                    low = middle;
            }
            *factor = high;
            return 0;
        }
        if (at >= kitchen.most)
            return 0;
        low = at;
    }
}
