/* The daily law of the mites in plain C, read from the head of kit/calc/mites.py: the yardstick for the compiled kernel.
   One call runs lanes first..last-1; arrays are C-contiguous as in kit.calc._kernel.Lanes. */
#include <math.h>
#include <stdint.h>

#define LEAD 36
#define WORKER 12
#define DRONE 14

typedef struct {
    const double *mites, *rates, *curves, *year_at, *factors;
    const int64_t *when;
    const double *effects;
    const int64_t *at, *winter;
    int64_t rows, span, knots, treatments, reported, columns;
} Lanes;

static double knot(const double *f, int64_t knots, int64_t t, int64_t days, int column) {
    if (knots == 1 || days == 1 || t <= 0) return f[column];
    double x = (double)(t * (knots - 1)) / (double)(days - 1);
    int64_t k = (int64_t)x < knots - 2 ? (int64_t)x : knots - 2;
    double low = f[k * 4 + column];
    return low + (x - (double)k) * (f[(k + 1) * 4 + column] - low);
}

static double area(double x, double fade) {
    if (x <= 0.0) return 0.0;
    return x < fade ? x * x / (2.0 * fade) : x - fade / 2.0;
}

static double residue(double active, double fade, int64_t n) {
    if (n == 0) return 0.5 + area(active, fade) - area(active - 0.5, fade);
    return area(active - (double)n + 0.5, fade) - area(active - (double)n - 0.5, fade);
}

static double lane(const Lanes *p, int64_t i, double *out) {
    const double *r = p->rates + i * 16, *f = p->factors + i * p->knots * 4;
    const int64_t days = p->span - LEAD, low = (int64_t)p->year_at[i];
    const int64_t high = low + 1 < p->rows ? low + 1 : p->rows - 1;
    const double mix = p->year_at[i] - (double)low;
    double wm[WORKER] = {0}, wd[WORKER] = {0}, dm[DRONE] = {0}, dd[DRONE] = {0};
    double bees = p->mites[i], brood = 0, fallen = 0, born = 0, arrived = 0, lost = 0, killed = 0, left = 0;
    double dying = 0, dead = 0, lingering = 0, struck = 0, infested = 0, raised = 0;
    int64_t j = 0;
    for (int64_t t = -LEAD; t < days; t++) {
        const double *a = p->curves + (low * p->span + LEAD + t) * 5, *b = p->curves + (high * p->span + LEAD + t) * 5;
        const double fa = knot(f, p->knots, t, days, 0), fb = knot(f, p->knots, t, days, 1);
        const double adults = fa * (a[0] + mix * (b[0] - a[0]));
        const double W = fb * (a[1] + mix * (b[1] - a[1])), D = fb * (a[2] + mix * (b[2] - a[2]));
        const int ws = (int)((t + LEAD) % WORKER), ds = (int)((t + LEAD) % DRONE);
        if (t < 0) {
            bees += wm[ws] + dm[ds];
            brood -= wm[ws] + dm[ds];
        } else {
            const double kb = a[3] + mix * (b[3] - a[3]), kc = a[4] + mix * (b[4] - a[4]);
            if (kb < 1.0 || kc < 1.0) {
                double in = 0;
                for (int s = 0; s < WORKER; s++) in += wm[s], wm[s] *= kc, wd[s] *= kc;
                for (int s = 0; s < DRONE; s++) in += dm[s], dm[s] *= kc, dd[s] *= kc;
                brood -= in * (1 - kc);
                left += in * (1 - kc) + bees * (1 - kb);
                bees *= kb;
            }
            const double mothers = wm[ws] + dm[ds], young = wd[ws] + dd[ds];
            const double fell = r[7] * (wm[ws] + wd[ws]) + r[8] * (dm[ds] + dd[ds]);
            const double guests = knot(f, p->knots, t, days, 3), fresh = mothers + young - fell + guests;
            wm[ws] = wd[ws] = dm[ds] = dd[ds] = 0;
            brood -= mothers, born += young, lost += fell, fallen += fell, arrived += guests;
            double old = 1, come = 1, live = 1, wl = 1, dl = 1;
            for (int64_t k = 0; k < p->treatments; k++) {
                const int64_t *w = p->when + (i * p->treatments + k) * 2, n = t - w[0];
                const double *e = p->effects + (i * p->treatments + k) * 6;
                if (n < 0) continue;
                if (n == 0) old *= 1 - e[0];
                come *= 1 - e[0] * residue(e[1], e[2], n);
                if (t < w[1]) live *= 1 - e[3], wl *= 1 - e[4], dl *= 1 - e[5];
            }
            double kill = bees * (1 - old) + fresh * (1 - come);
            bees = bees * old + fresh * come;
            const double at_once = bees * (1 - live);
            bees *= live;
            if (wl < 1 || dl < 1) {
                double iw = 0, id = 0;
                for (int s = 0; s < WORKER; s++) iw += wm[s], wm[s] *= wl, wd[s] *= wl;
                for (int s = 0; s < DRONE; s++) id += dm[s], dm[s] *= dl, dd[s] *= dl;
                iw *= 1 - wl, id *= 1 - dl;
                brood -= iw + id, killed += id, kill += iw;
            }
            killed += kill + at_once, dying += kill, struck += at_once;
            const double moved = r[12] * dying, down = r[12] * dead, late = r[14] * lingering, soon = r[15] * struck;
            dying -= moved, dead += moved * (1 - r[13]) - down, lingering += moved * r[13] - late, struck -= soon;
            fallen += down + late + soon;
            const double dies = bees * (r[10] + fmin(1.0, W / r[11]) * (r[9] - r[10]));
            bees -= dies, lost += dies, fallen += dies;
        }
        const double growth = knot(f, p->knots, t, days, 2);
        const double h = (r[0] * W + r[1] * D) / adults;
        const double met = bees / adults * (h < 1e-12 ? 1.0 : -expm1(-h) / h);
        const double lw = met * r[0], ld = met * r[1], w = lw * W, d = ld * D;
        const double g = r[3] + fmin(1.0, W / r[11]) * (r[2] - r[3]);
        wm[ws] = w, wd[ws] = w * growth * g * exp(-r[5] * lw);
        dm[ds] = d, dd[ds] = d * growth * r[4] * exp(-r[6] * ld);
        bees = fmax(0.0, bees - w - d), brood = fmax(0.0, brood + w + d);
        if (t < 0) continue;
        if (p->winter[0] <= t + WORKER && t + WORKER < p->winter[1]) infested -= expm1(-lw) * W, raised += W;
        if (j < p->reported && p->at[j] == t) {
            double *o = out + j++ * p->columns;
            o[0] = bees, o[1] = brood, o[2] = adults, o[3] = fallen;
            if (p->columns == 11) o[4] = born, o[5] = arrived, o[6] = lost, o[7] = killed, o[8] = left, o[9] = W, o[10] = lw;
        }
    }
    return raised > 0 ? infested / raised : NAN;
}

void run(const Lanes *p, double *out, double *spoiled, int64_t first, int64_t last) {
    for (int64_t i = first; i < last; i++) spoiled[i] = lane(p, i, out + i * p->reported * p->columns);
}
