"""What the readings of a job say, and what to do next.

This page is the whole model. Every formula is repeated, with its source, at the function that computes it;
the browser repeats the same arithmetic, to 1e-9. Nothing but + - x /, sqrt, exp, log and erfc is used, each
sum runs from left to right in the order given here, and every order of equals is settled by id.

**Hypotheses** (`hypotheses`, `suspects`). One fault at a time: the family's recorded faults that apply to the
revision, in order of id; the suspects, without a record; and, last, something else. Without a revision every
fault applies. A fault that lists no revisions applies to all. Not normalised:

    m                = clip(faults seen once / jobs, 0.065, 0.30); 0.30 without jobs (Good-Turing)
    prior(f)         = (1 - m) (seen_f + 1/2) / (jobs + faults/2)             jobs = sum of seen
    prior(suspect)   = (1 - m) 1/2 (its ways of failing) / (jobs + faults/2)
    prior(outside)   = the least with which P(its kind | symptom) can be what the symptom names, and of a part
                       of the family at least what a suspect on the board has
    prior(else)      = m of all; the others above, what is outside among them, share 1 - m as they stand
    P(symptom | f)   = 0.95 always, 0.6 often, 0.25 sometimes; not listed 0.005 / number
                           of symptoms that the family's faults show
    P(symptom | suspect) = mean of P(symptom | f), weighted by prior(f) x what the two read abnormally alike,
                           or half of the nets that they have in common, whichever is more; at least 0.25
                           where its name has a word of the symptom, of which the family says nothing
                         = 0.9 min(r(s) (L(s) + 0.05) K, 0.95 r(s)) + 0.1 L(s) where it says what s comes of;
                           L(s) is the mean above, K makes the sum over these symptoms that of L
    P(symptom | else)    = mean of P(symptom | h), weighted by prior(h): no evidence

r(s) is how much of a suspect is of what the symptom comes of (`comes_of`): the share of its parts that are
named or are at a net that is, or half of the share in which a net that is named reads amiss, whichever is
more; of a chip with one line at fault its name does not count. So a suspect shows as many of these symptoms
as what reads like it, but those that come of it; 0.1 is what lists leave out.

Suspects on the board are every part with every mode that its kind can have, without those that are recorded;
what no measurement tells apart is one (`circuit/graph/suspects.py`). A short behind a fuse that its source
can blow has blown it in eight of ten. An open part of which no element speaks, but a capacitor, touches its
lines; what eye, ear or scope finds at a net is touched where the net's level is; where nothing tells how, 0.6
of what is touched reads anything but healthy. A word of a symptom (`naming`) is one of its title that four
symptoms have at most, or one that people say of it and of two at most, if few parts of the family have it.
An open contact of a connector touches what lies beside it in 0.3. A loose one is open at three readings of
ten, and half of what is then amiss reads between open and whole, where an outcome lies there; a look at the
connector finds what is wrong with a contact in 0.6, and what is loose or wet there is cleaned or reseated
first. Of coils and crystals that are open three of ten touch now and then; of chips on balls half of what is
open is a joint. A chip that shows something when it is pressed or warmed under power has loose joints: it is
reflowed first, for 45 min and the risk, and one in five does not hold and is changed then. Where three
outcomes of a look bear names of parts or nets, a suspect of that name, or one that leaves that net amiss in
nine of ten readings, reads that outcome in 0.6. A leak of which nobody knows the ohms is carried by what
feeds the net. A protection diode that is open is no suspect: the board works.
Each way of failing, a part with a mode, counts for three quarters of a job, where a recorded fault that was
never seen counts for half (Jeffreys' prior of a multinomial); what the modes of one part have in all they
share by the published table (FMD-91 in MIL-HDBK-338B). So parts share a shorted rail by their number, their
modes and the jobs of those with a record.
A part of the board that somebody looks at may besides be damaged, as the look shows it and no record does:
that is a way of failing, too. A look is of the part itself where three of four jobs that read abnormally
there have that part at fault, and where no record reads anything wrong, of the part at which it is.
Of several parts that hold a net down, the search for what warms up finds four of five; else they are changed
in order.
Outside the board are the pack, the adapter, the cable, the accessories and the settings. What a symptom
or the family names for one of these is the share of all of its kind, none where the family has parts of the
kind and the symptom comes of none of them: the suspects have what the kind's records leave, at
least m of it, and among the parts of a kind each by how often it shows the symptom, as a suspect on the board
does; a record of the part itself reads wholly like it. A part of the family may be at fault with a symptom
that does not name its kind as well, as rarely as a suspect on the board.

Symptoms that nobody reported say nothing.

**What a measurement reads** (`hypotheses`, `circuit/foretold`). P(o | f): outcomes as the fault states them;
where it is silent, as the circuit foretells them of its cause, each variant by its share. A suspect reads 0.9
as foretold and 0.1 as the mixture below, and of what is foretold amiss 0.1 is so in any other way; half of
what fails outside the board reads healthy everywhere, also where nothing is foretold, since that board is
whole. Where neither record nor circuit tells, a hypothesis reads as the mixture of the case's recorded faults
g, of which those that are silent, too, read q(o): 0.9 healthy. A record leaves out what reads healthy, so
that it is silent is no even chance:

    P(o | silent) = (sum over told g of w(g) P(o | g) + sum over the others of w(g) q(o)) / sum of w(g)

w(g) is prior(g) for a recorded fault; for a suspect prior(g) x how much the two read alike, as for symptoms,
and a quarter of an average fault spread over all.

**Ways of failing** (`ways`, `hypotheses`). One board fails in one way, and readings are independent only
given it. So a record with variants, of which the circuit tells what each reads, has a row for each of them:
the joint distribution of variant and outcome that has the shares of the variants and the outcomes as stated,
and is nearest to what is foretold (iterative proportional fitting). What is outside has several: the board's
own points show nothing of it, or they do, in one way for each net that it touches. Something else has two:
0.9 of the readings are healthy (2 boards of 3), or 0.3. A contact that is loose changes from one reading to
the next, and is one way. All weights, of ranking and plan, are those of the ways; a hypothesis has the sum of
its own.

Where a look shows a part itself, a fault of another part and something else read abnormally there two fifths
as often (`stray`): 1 - 0.4 (1 - H) in place of H, and e(o) with that in place of the mixture.

Here e(o) is of something else, from even odds: 0.7/healthy outcomes for a healthy one, and 0.3/K for each;
q(o) the same with 0.9 and 0.1. So a reading that no fault states counts against those that state another.
The weights are the priors, not the posterior: the mixture is the same whatever else is known, and the order
of the readings cannot matter. Measurements whose test point is not on the revision are left out.

**A reading on a meter** (`meter`, `likelihood`). x in the base unit; the range is the smallest one that
shows |x|.

    u(x)        = max((|x| percent/100 + counts resolution) / sqrt(3), resolution / sqrt(12))
    top         = end of the smallest range that shows every finite end of the measurement's outcomes, at most
                  the largest value that the meter function has
    limit       = end of the largest range
    span        = [-top, top] where a reading may be below zero, else [0, top]
    [A, B]      = the outcome, closed: of `over a` a to top if top > a, else to (a + limit)/2; of `under b`
                  0 to b if b > 0, else min(-top, b - top) to b; of `a to b` as it is
    OL(o)       = share of o's readings that are over-range: 1 for `open` and for outcomes from `limit` up;
                  for `over a` 0.5 in unpowered modes, 0.05 in the others, 0 where `open` is an outcome
                  of the measurement too; of `a to b` what is above `limit`
    p(x | o)    = (1 - OL(o)) [Phi((b - x)/u) - Phi((a - x)/u)] / (B - A), with a, b as written, open ends
                  infinite, but a = -b in `under b` if b > 0: swapped leads show no more
                  than that; a normal density about A with deviation u if A = B; 0 if OL(o) = 1
    gap         = how far it is to the next band on a side; d = how far x lies from o within it
    p(x | o)    with a gap: (1 - 0.025 for each side with one) of that, and in the gap besides
                (1 - OL(o)) 0.025 2 (1 - d/gap)/gap: it belongs to both, falling from one to the other
    p(a..c | o) = the mean of p(x | o) over 16 places between the ends of an unsteady reading
    p(OL | o)   = OL(o)
    p(name | o) = 1 for the outcome that was named, else 0

The closed ends only normalise: 12 V still belongs to `over 8.5 V` when the top is 10 V. What a reading is
worth that means nothing (a slipped probe, a wrong state, a board that is not in the book), over K outcomes:

    a(x)        = 0.9 mean over o of p(x | o) + 0.1 (1 - 0.1) / (length of span)
    a(OL)       = 0.9 mean over o of OL(o) + 0.1 x 0.1
    a(name)     = 1/K

    p(r | way of f)        = 0.98 sum over o of P(o | way) p(r | o) + 0.02 a(r)
    p(r | not in the book) = H mean over the healthy o of p(r | o) + (1 - H) a(r), H of its way

Most of a board is healthy, whatever is wrong with it: so a board on which everything reads healthy leads to
something else, and never to the last recorded fault standing. a is never zero, so no reading ever rules a
fault out for good and no logarithm is infinite. What is lost to rounding in a far tail of Phi is lost beside
0.02 a: any erfc that is good to 1e-12 absolute gives the same posterior to 1e-9. An entry beyond `limit` is
refused: the meter cannot have shown it.

**Posterior** (`posterior`). For each way: log prior + log its share + sum over reported symptoms (in order of
id) of log P(s | h) + sum over readings (in order of measurement id) of log p(r | way); the largest is taken
away, exp, divided by the sum; a hypothesis is the sum of its ways. What a fix mends that was tried and not
proved has weight 0. "Not in the book" is never ruled out, so the
sum is never zero; when every fault is out it is 1. Above 0.5 the ranking says that nothing in the book
explains this, and names the clashes: the readings r with p(r | f) < a(r) for the likeliest fault f.

**Verdict** (`verdict`). P(o | x) = p(x | o) / sum over outcomes, all outcomes equally likely beforehand.
Decided from 0.95 up. More than 3 u below or above all outcomes it fits none.

**Two entries, two faults** (`conflict`, `ohms_law`). A hypothesis explains a reading where p(r | h) >= a(r).
Two entries contradict each other where each is explained by something, and no hypothesis and no two of them
explain both (one that is silent on either is not held against it); or where a rail's volts over its ohms are
more than twice the largest current that the circuit states. Until one is settled, the next action is to
measure one of them again, first that which is likelier to mean nothing: sum over f of p(f) 0.02 a(r) /
p(r | f). With two faults

    P(o | f, g)   = P(o | f) H(g) + P(o | g) H(f) + P(o | f) P(o | g) for an abnormal o, H: what reads healthy
                  = (P(o | f) H(g) + P(o | g) H(f)) / 2 for a healthy one; what is left reads as a(r)
    prior(f, g)   = 0.02 prior(f) prior(g) / sum over all pairs;  prior(f) alone x 0.98
    P(s | f, g)   = 1 - (1 - P(s | f)) (1 - P(s | g))

The ranking is that of one fault. Where no single hypothesis explains every reading and a pair does, it says
"perhaps both" with the pair's probability among all.

**Minutes** (`minutes`). Set-up = bench state and unplugged parts.

    change(s, t)  = minutes of t's state, if another, + unplug_minutes x parts to unplug or to plug in again
    cost(m)       = change(how the bench stands, set-up of m) + minutes of m
    cost(f)       = minutes of the fix + prices of its parts / labour rate x 60 + proof + risk;
                    what is plugged in has no price: it is tried with one that is known good, and bought once
                    it was proved
    risk          = the shop's share of such fixes that make a new fault x escalate
    proof         = its measurements by (live, state, id) from a bench with nothing set up
    escalate      = the shop's price; ends the job

**What a fix mends** (`mends`). Its own hypothesis; and where it fits new parts in every job (a record whose
action is `replace`, without the steps that are done only now and then; the one part of a suspect, that is not
only cleaned, reseated or reflowed, with the fuses that it has blown), every hypothesis all of whose parts at
fault are among these. Not what is stored, set or plugged otherwise; nor a fault in which no part has failed,
unless its record replaces one. A suspect on the board whose part a record replaces takes the minutes of the
record: it is the same work.

A fix that is tried ends the job if it mends the hypothesis that is the one, else all that it mends is out,
and the bench stands as after the proof. It is tried only while its own hypothesis stands.

**Interlocks** (`interlock`). An outcome that says `stop` bars every bench state with a source, one that
names sources in `bars` those with one of these, and the ohms of a supply rail that hold 0 ohm, unless that
is healthy, those with a source that can reach the rail. A barred measurement is not open. The second and the
third also bar each fix whose proof would bring the power back without asking first whether the trouble is
gone: the plan measures on without power, or escalates. The first outlasts no fix, the others stand until one
of the measurements that clear them reads otherwise. A bench that stands in a barred state is taken down.
With a symptom that says `ohms_first` (dead, hot, smells) the ohms of the supply rails come before any source;
so does what the family names as `first` for one of the symptoms.
A fix that injects current into a rail asks for the ohms of the lowest rail that is made from it first: while
these are open they stand before the fix, and where they read shorted the fix is barred.
Common practice, no source.

**Planning** (`search`, `plan`). Readings are foreseen as the outcome that they will be taken for: the one
whose range holds them, else the nearest (the cut lies in the middle of a gap). With C[i][j] = P(taken for j
| i) for the meter:

    P(taken for j | f)               = 0.98 sum over i of P(i | f) C[i][j] + 0.02 chance[j]
    P(taken for j | not in the book) = H mean over the healthy i of C[i][j] + (1 - H) chance[j]
    chance[j] = 0.9 mean over i of C[i][j] + 0.1 (0.9 j's share of span + [OL is j] 0.1)

    w(f)  = sum of w(h) over what f mends
    V0(w) = least, over the prefixes of the fixes in order of w(f)/cost, of
            sum of cost x what is left before it + escalate x what is left after the last
    Vd(w) = least of V0(w); for each m: cost(m) |w| + sum over j of V(d-1)(w P(j | .));
            for the first fix of that order: cost(f) |w| + V(d-1)(w without what f mends)

Left out of V0 are fixes with w(f) (escalate - cost) at most cost x w(something else). Where fixes mend the
same, each hypothesis counts at the first that mends it, those with something left are sorted once more, by
that, and one that then has nothing left is passed over: V0 is what that order costs, and no longer surely the
least.

A fix that heats the board or takes a part off it is left out of both until an abnormal reading speaks for
its own fault (the fault states the measurement and makes the outcome likelier than something else does, and
than 0.3 / number of outcomes), and again once the readings together have made that lose against something
else.

`rank` values each action one action ahead, the five best again two ahead (with the eight best measurements
to follow), but of measurements that tell alike the best alone (`lookahead`), and orders them by the outcome.
`plan` settles the likeliest steps of its tree first, in the same way, three ahead at the top; a branch that
few jobs reach measures nothing more. `optimum` finds the least minutes of any plan on small benches by
dynamic programming; `simulate` plays jobs against all of it.

Sources: Good, Biometrika 40 (1953). JCGM 100:2008 4.3.7, F.2.2.1. JCGM 106:2012. Kalagnanam and Henrion, A
comparison of decision analysis and expert rules for sequential diagnosis (1990, arXiv 1304.2362).
Heckerman, Breese and Rommelse, Communications of the ACM 38(3) (1995).
"""

import os

# Before one of the modules loads numpy: its linear algebra, of which nothing is used, would start threads,
# and a process with threads is not forked (`workers`).
os.environ["OPENBLAS_NUM_THREADS"] = "1"
