using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Kilns;
using KilnShare.Api.Pieces;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Loading;

/// <summary>How long to search.</summary>
public sealed record SearchContract
{
    /// <summary>Milliseconds; where neither is given 500, and 3,000 for a series of loads.</summary>
    /// <example>500</example>
    public int? Milliseconds { get; init; }

    /// <summary>
    /// Iterations instead: same request, same seed, same answer on any machine. Times the copies they are bounded, and what is not done after ten
    /// seconds is refused, since fewer would be another answer.
    /// </summary>
    public long? Iterations { get; init; }

    /// <summary>The seed.</summary>
    /// <example>1</example>
    public long Seed { get; init; } = 1;

    /// <summary>
    /// True shares out the room that is left over once everything has its place: pieces stand as far from each other and from the edge as they can, and
    /// straight, so that hands can follow the plan. False leaves them close together: better where more is to be put in later and nothing may move.
    /// </summary>
    public bool Spread { get; init; } = true;

    /// <summary>What is refused of a search for so many copies because it would take too long; null where it would not.</summary>
    public Refusal? TooMuch(long copies)
    {
        if (Milliseconds > SearchGate.MostMilliseconds)
            return TooLong($"A calculation searches {SearchGate.MostMilliseconds} ms at most. Ask for so many or fewer.", "/search/milliseconds");
        var most = LoadLimits.MaxWork / Math.Max(1, copies);
        return Iterations > most
            ? TooLong($"{Iterations} iterations for {copies} copies are more than one calculation does: times each other {LoadLimits.MaxWork} at most. Ask "
                + $"for {most} iterations or fewer.", "/search/iterations")
            : null;
    }

    /// <summary>Searches when the turn comes: for the time that is asked for, or until the iterations are done.</summary>
    public Task<Result<T>> Run<T>(SearchGate gate, Func<CancellationToken, T> search, CancellationToken cancellation) =>
        Iterations is null ? gate.RunTimed(() => search(cancellation), cancellation) : gate.Run(search, cancellation);

    /// <summary>The work allowed from now on; of a time, where it is for several things, a part.</summary>
    public WorkBudget Budget(int usualMilliseconds, TimeProvider clock, CancellationToken cancellation, int parts = 1) => Iterations is { } iterations
        ? WorkBudget.OfIterations(iterations, cancellation)
        : WorkBudget.OfTime(TimeSpan.FromMilliseconds(Milliseconds ?? usualMilliseconds) / parts, clock, cancellation);

    private static Refusal TooLong(string message, string pointer) => Refusal.Rule("loading.search-too-long", message, pointer);

    /// <summary>How the search goes about it.</summary>
    public LoadOptions Options() => new() { Seed = unchecked((ulong)Seed), Spread = Spread };
}

/// <summary>A kiln, and the ware for it.</summary>
public abstract record LoadQuestion
{
    /// <summary>The space inside the kiln.</summary>
    public required ChamberContract Chamber { get; init; }

    /// <summary>Shelves and posts.</summary>
    public required FurnitureContract Furniture { get; init; }

    /// <summary>Distances to keep.</summary>
    public SpacingContract Spacing { get; init; } = new();

    /// <summary>The ware.</summary>
    public required IReadOnlyList<LoadPieceContract> Pieces { get; init; }

    /// <summary>Room to stay out of, such as a thermocouple's.</summary>
    public IReadOnlyList<KeepOutContract> KeepOuts { get; init; } = [];

    /// <summary>Parts of the height that fire hotter or cooler, for pieces with a wish.</summary>
    public IReadOnlyList<HeatZoneContract> HeatZones { get; init; } = [];

    /// <summary>How long to search; of a plan half of it is for what would have to go where makeRoomFor asks that.</summary>
    public SearchContract Search { get; init; } = new();

    /// <summary>The problem in Core's terms, or what is wrong with it.</summary>
    public virtual Result<LoadProblem> ToCore() => With(null, Keep.None, []);

    /// <summary>The same from an earlier plan.</summary>
    protected Result<LoadProblem> With(LoadPlan? start, Keep keep, IReadOnlyList<PinnedCopy> pinned) =>
        Search.TooMuch(Pieces.Sum(p => (long)p.Quantity)) ?? LoadProblem.Create(
        Chamber.ToCore(), Furniture.ToCore(), new KilnSpacing(Spacing.GapMm, Spacing.HeadroomMm, Spacing.ShelfGapMm),
        [.. Pieces.Select(p => p.ToCore())],
        [.. KeepOuts.Select(k => k.ToCore())],
        start, keep, pinned,
        [.. HeatZones.Select(z => new HeatZone(z.FromMm, z.ToMm, z.Heat))]).Then(KeptStart.Check);
}

/// <summary>A kiln to be loaded once.</summary>
public sealed record LoadPlanQuestion : LoadQuestion
{
    /// <summary>An earlier answer to start from.</summary>
    public LoadPlanContract? Start { get; init; }

    /// <summary>What of the start stays.</summary>
    /// <example>none</example>
    public Keep Keep { get; init; }

    /// <summary>The copies that stay with keep: pinned.</summary>
    public IReadOnlyList<PinnedContract> Pinned { get; init; } = [];

    /// <summary>Pieces that should fit whatever it takes: where they did not, the answer says what would have to go.</summary>
    public IReadOnlyList<string> MakeRoomFor { get; init; } = [];

    /// <inheritdoc/>
    public override Result<LoadProblem> ToCore() => With(Start?.ToCore(), Keep, [.. Pinned.Select(p => new PinnedCopy(p.PieceId, p.Copy))]);
}

/// <summary>Ware for as many loads of one kiln as it takes.</summary>
public sealed record LoadSeriesQuestion : LoadQuestion;

internal sealed class LoadQuestionValidator : AbstractValidator<LoadQuestion>
{
    public LoadQuestionValidator()
    {
        RuleFor(q => q.Chamber).SetValidator(new ChamberValidator());
        RuleFor(q => q.Furniture).SetValidator(new FurnitureValidator());
        RuleFor(q => q.Spacing).SetValidator(new SpacingValidator());
        RuleFor(q => q.Pieces).AtMost(LoadLimits.MaxCopies);
        RuleForEach(q => q.Pieces).ChildRules(piece =>
        {
            piece.RuleFor(p => p.Id).Line(120);
            piece.RuleFor(p => p.Footprint).SetValidator(new ShapeValidator());
            piece.RuleFor(p => p.HeightMm).Within(new Length(1), PieceLimits.MaxSide);
            piece.RuleFor(p => p.MassG).Within(0m, PieceLimits.MaxMassG, 3);
            piece.RuleFor(p => p.Group).OptionalLine(120);
        });
        RuleForEach(q => q.KeepOuts).ChildRules(k => k.RuleFor(x => x.Footprint).SetValidator(new ShapeValidator()));
        RuleFor(q => q.HeatZones).AtMost(LoadLimits.MaxHeatZones);
        RuleFor(q => q.Search).ChildRules(search =>
        {
            search.RuleFor(s => s.Iterations).InclusiveBetween(0, LoadLimits.MaxWork).WithMessage($"Takes 0 to {LoadLimits.MaxWork} iterations.");
            search.RuleFor(s => s.Iterations).Must((s, i) => i is null || s.Milliseconds is null).WithMessage("Give milliseconds or iterations, not both.");
            search.RuleFor(s => s.Milliseconds).GreaterThanOrEqualTo(0).WithMessage("Takes 0 milliseconds or more.");
        });
    }
}

internal sealed class LoadPlanValidator : AbstractValidator<LoadPlanQuestion>
{
    public LoadPlanValidator()
    {
        Include(new LoadQuestionValidator());
        RuleForEach(q => q.MakeRoomFor).Must((q, id) => q.Pieces.Any(p => string.Equals(p.Id, id, StringComparison.Ordinal)))
            .WithMessage("Takes the id of a piece of this question.");
        RuleFor(q => q.MakeRoomFor).AtMost(LoadLimits.MaxCopies);
    }
}

internal sealed class LoadSeriesValidator : AbstractValidator<LoadSeriesQuestion>
{
    public LoadSeriesValidator() => Include(new LoadQuestionValidator());
}
