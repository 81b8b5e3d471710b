using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>First plans: built from nothing in several ways, or on what a start plan has.</summary>
internal sealed class FirstPlans(InstanceContext context, LevelBuilder builder)
{
    // How first plans are built: what is preferred, and after how many whole levels half shelves begin.
    private static readonly (Preference Preference, int? SplitAt)[] Ways = [(Preference.Height, null), (Preference.Density, null)];

    private static readonly (Preference Preference, int? SplitAt)[] WaysOfPortfolio = [.. Ways, (Preference.Value, null)];

    private static readonly (Preference Preference, int? SplitAt)[] WaysWithHalves =
        [(Preference.Height, null), (Preference.Density, null), (Preference.Height, 0), (Preference.Density, 1), (Preference.Height, 2)];


    private readonly LoadInstance instance = context.Instance;
    private readonly LoadOptions options = context.Options;

    /// <summary>The best of the plans built from nothing.</summary>
    public PartialPlan Build(ItemPool pool, bool ofPortfolio)
    {
        var best = new PartialPlan(new Layout([], []), [], pool.Copy());
        var rounds = ofPortfolio ? options.PortfolioRounds : options.FirstRounds;
        foreach (var layout in instance.Layouts)
        {
            var splits = layout.Decks.Any(d => d.Seats.Count == 1) && layout.Decks.Any(d => d.Seats.Count == 2);
            foreach (var (preference, splitAt) in splits ? WaysWithHalves : ofPortfolio ? WaysOfPortfolio : Ways)
            {
                if (best.Pool.IsEmpty) return best;
                best = Better(best, layout, pool, preference, 0, rounds, splitAt);
            }
        }

        // Rectangles are tried in many orders anyhow, and the searches of a portfolio differ enough.
        var orders = ofPortfolio || instance.MostlyRectangles || instance.Layouts.Count == 0 ? 0 : SearchTuning.OrdersDrawn;
        for (var more = 0; more < orders && !best.Pool.IsEmpty; more++)
            best = Better(
                best, instance.Layouts[more % instance.Layouts.Count], pool, (Preference)(more % 4), SearchTuning.NoiseOfOrders, options.FirstRounds, null);
        return best;
    }

    private PartialPlan Better(PartialPlan best, Layout layout, ItemPool pool, Preference preference, double noise, int rounds, int? splitAt)
    {
        var plan = new PartialPlan(layout, [], pool.Copy());
        builder.Build(plan, preference, noise, rounds, splitAt);
        return Improvement.IsBetter(instance, plan, best) ? plan : best;
    }

    /// <summary>First into the room there is; what still waits may get new levels on top of what stays.</summary>
    public PartialPlan Onto(PartialPlan from)
    {
        var best = from.Copy();
        if (best.Kept is null) return IntoLevels(from);
        var (kept, pool) = (from.Kept!, from.Pool);
        builder.Filling.Fill(best.Kept.Trays, best.Pool, Preference.Height, 0, options.FirstRounds, options.FailuresPerLevel);
        if (!Balancing.Ensure(instance, best.Kept, best.Pool)) best = from.Copy();
        if (best.Pool.IsEmpty || LayoutChoice.Upon(instance, kept.AxesForMore(instance)) is not { } layout) return best;
        var more = pool.Copy();
        var plan = new PartialPlan(layout, [], more, kept.WithPostsOn(instance, LevelBuilder.PostsAbove(layout), more));
        builder.Filling.Fill(plan.Kept!.Trays, more, Preference.Height, 0, options.FirstRounds, options.FailuresPerLevel);
        if (!Balancing.Ensure(instance, plan.Kept, more)) return best;
        builder.Build(plan, Preference.Height, 0, options.FirstRounds);
        return Improvement.IsBetter(instance, plan, best) ? plan : best;
    }

    // First without moving anything, then with few items moved for each.
    private PartialPlan IntoLevels(PartialPlan from)
    {
        var filled = from.Copy();
        var trays = filled.Levels.SelectMany(l => l.Trays).ToList();
        builder.Filling.Fill(trays, filled.Pool, Preference.Height, 0, options.FirstRounds, 0);
        builder.Filling.Nudge(trays, filled.Pool, options.FirstRounds);
        foreach (var level in filled.Levels) Balancing.Ensure(instance, filled.Layout, level, filled.Pool);
        return Improvement.IsBetter(instance, filled, from) && Elevations.Of(instance, filled) is not null ? filled : from;
    }
}
