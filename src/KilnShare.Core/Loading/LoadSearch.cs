using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>
/// Plans a load: pieces on shelves, shelves on posts, in levels. As much weight as can be found, then the least height.
/// </summary>
public static class LoadSearch
{
    /// <summary>The best plan found within the budget. Same problem, options and iterations: same plan.</summary>
    public static LoadPlan Solve(LoadProblem problem, LoadOptions options, WorkBudget budget)
    {
        var meter = new Meter(budget);
        var start = StartToUse(problem);
        if (problem.Keep != Keep.None || start is null) return Search(problem, options, meter, start);
        meter.Share = ShareFromStart;
        var carried = Search(problem, options, meter, start);
        if (carried.Stopped is StopReason.Proven or StopReason.Cancelled) return carried;
        meter.Share = 1;
        var fresh = Search(problem, options, meter, null);
        return carried.PlacedWeight >= fresh.PlacedWeight ? carried with { Iterations = fresh.Iterations } : fresh;
    }

    // The part of the budget spent on searching on from a start plan; the rest goes to a plan from nothing, which moves everything.
    private const double ShareFromStart = 0.5;

    // The part of the time kept for putting ware back and meeting wishes, where there is something of that to do.
    private const double PartForOrder = 0.1;

    // How first plans are built: what is preferred, and after how many whole levels half shelves begin.
    private static readonly (Preference Preference, int? SplitAt)[] Ways = [(Preference.Height, null), (Preference.Density, null)];

    private static readonly (Preference Preference, int? SplitAt)[] WaysOfShortlists = [.. Ways, (Preference.Weight, null)];

    private static readonly (Preference Preference, int? SplitAt)[] WaysWithHalves =
        [(Preference.Height, null), (Preference.Density, null), (Preference.Height, 0), (Preference.Density, 1), (Preference.Height, 2)];

    // First plans built beside these in orders drawn by chance, and by how much these differ from what is preferred.
    private const int OrdersDrawn = 4;
    private const double NoiseOfOrders = 0.5;

    // All of the start while it is sound; else only what must stay, which is.
    private static LoadPlan? StartToUse(LoadProblem problem)
    {
        if (problem.Start is null) return null;
        var kinds = problem.Furniture.Shelves.Select(s => s.Id).ToHashSet(StringComparer.Ordinal);
        if (problem.Start.Shelves.Any(s => !kinds.Contains(s.ShelfId))) return null;
        var whole = StartPart.Of(problem, onlyKept: false);
        if (problem.Keep != Keep.All && LoadChecks.Violations(problem, whole).Count > 0) whole = StartPart.Of(problem, onlyKept: true);
        return whole.Shelves.Count > 0 ? whole : null;
    }

    private static LoadPlan Search(LoadProblem problem, LoadOptions options, Meter meter, LoadPlan? start)
    {
        var setting = new Setting(problem, options, start);
        var dice = new Dice(options.Seed);
        var pool = new LotPool(problem);
        var from = start is null ? null : StartOf(setting, start, pool);
        var reasons = Prospects.Of(setting, pool.All);
        for (var i = 0; i < reasons.Length; i++)
        {
            if (reasons[i] is not null) (from?.Pool ?? pool).Waiting[i] = 0;
        }

        var building = new Building(setting, options, meter, dice);
        var shortlists = from is null && Shortlists.CountFor(setting, options) > 0
            ? meter.MakeFirst(() => Shortlists.Begin(setting, options, meter, pool, (b, p) => FirstPlan(setting, options, b, p, ofShortlist: true))) : null;
        var best = shortlists?.Best ?? meter.MakeFirst(() => from is null ? FirstPlan(setting, options, building, pool, ofShortlist: false) : Onto(setting, options, building, from));
        var searching = from is not null || Wishing.IsAsked(setting, pool) ? 1 - PartForOrder : 1;
        best = meter.Within(searching, () => new Improvement(setting, options, meter, dice, building, from is not null).Improve(shortlists?.Run() ?? best));
        if (!meter.Cancelled)
        {
            best = meter.Uncounted(() => new Wishing(setting, options, meter, dice).Meet(
                from is null ? Gathering.Gather(setting, Arranging.Order(setting, best)) : new Restoring(setting, options, meter, dice).Restore(best, from)));
        }

        var stopped = meter.Cancelled ? StopReason.Cancelled : StopReason.SearchEnded;
        return PlanWriting.Write(setting, best, new PlanEnd(stopped, meter.Iterations, reasons));
    }

    private static Pile FirstPlan(Setting setting, LoadOptions options, Building building, LotPool pool, bool ofShortlist)
    {
        var best = new Pile(new Design([], []), [], pool.Copy());
        var rounds = ofShortlist ? options.ShortlistRounds : options.FirstRounds;
        foreach (var design in setting.Designs)
        {
            var splits = design.Decks.Any(d => d.Seats.Count == 1) && design.Decks.Any(d => d.Seats.Count == 2);
            foreach (var (preference, splitAt) in splits ? WaysWithHalves : ofShortlist ? WaysOfShortlists : Ways)
            {
                if (best.Pool.IsEmpty) return best;
                var pile = new Pile(design, [], pool.Copy());
                building.Build(pile, preference, 0, rounds, splitAt);
                if (Improvement.IsBetter(setting, pile, best)) best = pile;
            }
        }

        // Rectangles are tried in many orders anyhow, and several searches differ enough.
        var orders = ofShortlist || setting.MostlyBoxes || setting.Designs.Count == 0 ? 0 : OrdersDrawn;
        for (var more = 0; more < orders && !best.Pool.IsEmpty; more++)
        {
            var pile = new Pile(setting.Designs[more % setting.Designs.Count], [], pool.Copy());
            building.Build(pile, (Preference)(more % 4), NoiseOfOrders, options.FirstRounds);
            if (Improvement.IsBetter(setting, pile, best)) best = pile;
        }

        return best;
    }

    // As levels that may change where nothing must stay; else as shelves that stay where they are.
    private static Pile StartOf(Setting setting, LoadPlan start, LotPool pool)
    {
        if (setting.Problem.Keep == Keep.None && StartPile.Of(setting, start, pool) is { } levels) return levels;
        var kept = KeptBase.Of(setting, start, pool);
        return new Pile(new Design([], []), [], pool, kept);
    }

    // Without moving anything, then while few make room.
    private static Pile IntoLevels(Setting setting, LoadOptions options, Building building, Pile from)
    {
        var filled = from.Copy();
        var trays = filled.Levels.SelectMany(l => l.Trays).ToList();
        building.Filling.Fill(trays, filled.Pool, Preference.Height, 0, options.FirstRounds, 0);
        building.Filling.Nudge(trays, filled.Pool, options.FirstRounds);
        foreach (var level in filled.Levels) Balancing.Ensure(setting, filled.Design, level, filled.Pool);
        return Improvement.IsBetter(setting, filled, from) && Elevations.Of(setting, filled) is not null ? filled : from;
    }

    // First into the room there is; what still waits may get new levels on top of what stays.
    private static Pile Onto(Setting setting, LoadOptions options, Building building, Pile from)
    {
        var best = from.Copy();
        if (best.Kept is null) return IntoLevels(setting, options, building, from);
        var (kept, pool) = (from.Kept!, from.Pool);
        building.Filling.Fill(best.Kept.Trays, best.Pool, Preference.Height, 0, options.FirstRounds, options.FailuresPerLevel);
        if (!Balancing.Ensure(setting, best.Kept, best.Pool)) best = from.Copy();
        if (best.Pool.IsEmpty || DesignChoice.Upon(setting, kept.AxesForMore(setting)) is not { } design) return best;
        var more = pool.Copy();
        var pile = new Pile(design, [], more, kept.WithPostsOn(setting, Building.PostsAbove(design), more));
        building.Filling.Fill(pile.Kept!.Trays, more, Preference.Height, 0, options.FirstRounds, options.FailuresPerLevel);
        if (!Balancing.Ensure(setting, pile.Kept, more)) return best;
        building.Build(pile, Preference.Height, 0, options.FirstRounds);
        return Improvement.IsBetter(setting, pile, best) ? pile : best;
    }
}
