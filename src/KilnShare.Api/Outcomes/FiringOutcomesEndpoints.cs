using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>Where ware stood, by the numbers on the load sheet.</summary>
public sealed record SheetPlaceContract
{
    /// <summary>The shelf, from 1 at the bottom.</summary>
    /// <example>2</example>
    public required int Shelf { get; init; }

    /// <summary>The number on that shelf.</summary>
    /// <example>3</example>
    public required int Number { get; init; }
}

/// <summary>Ware out of a kiln, by its mark, its place on the load sheet or its id: one of the three.</summary>
internal interface IUnloadedWare
{
    Guid? PieceId { get; }

    string? Mark { get; }

    SheetPlaceContract? Place { get; }

    IReadOnlyList<int>? Copies { get; }
}

/// <summary>Ware out of a kiln.</summary>
public sealed record UnloadedWare : IUnloadedWare
{
    /// <summary>The piece; absent: it is named by its mark or place.</summary>
    public Guid? PieceId { get; init; }

    /// <summary>The sign under the foot, as it was when the ware went in; absent: it is named by its id or place.</summary>
    /// <example>B7</example>
    public string? Mark { get; init; }

    /// <summary>Where it stood by the load sheet; absent: it is named by its mark or id.</summary>
    public SheetPlaceContract? Place { get; init; }

    /// <summary>Which copies; absent: all that went in, or that stood in that place.</summary>
    public IReadOnlyList<int>? Copies { get; init; }
}

/// <summary>Ware that came out otherwise than the rest, named by its mark, its place on the load sheet or its id.</summary>
public sealed record UnlikeOutcome : OutcomeDescription, IUnloadedWare
{
    /// <summary>The piece; absent: it is named by its mark or place.</summary>
    public Guid? PieceId { get; init; }

    /// <summary>The sign under the foot, as it was when the ware went in; absent: it is named by its id or place.</summary>
    /// <example>B7</example>
    public string? Mark { get; init; }

    /// <summary>Where it stood by the load sheet; absent: it is named by its mark or id.</summary>
    public SheetPlaceContract? Place { get; init; }

    /// <summary>Which copies; absent: all that went in, or that stood in that place.</summary>
    public IReadOnlyList<int>? Copies { get; init; }
}

/// <summary>How a whole firing came out: all that was looked at is of one grade, except some.</summary>
public sealed record FiringOutcomesBody
{
    /// <summary>The grade of all that was looked at and is not among the exceptions.</summary>
    /// <example>good</example>
    public required OutcomeGrade Others { get; init; }

    /// <summary>What came out otherwise.</summary>
    public IReadOnlyList<UnlikeOutcome> Except { get; init; } = [];

    /// <summary>What nobody looked at; it stays not judged.</summary>
    public IReadOnlyList<UnloadedWare> NotSeen { get; init; } = [];
}

/// <summary>A firing's outcomes in one request, from what really went in.</summary>
internal static class FiringOutcomesEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapFiringOutcomes(this RouteGroupBuilder studio) => studio.MapPost("/firings/{firingId:guid}/outcomes", Create)
        .WithTags("Outcomes").WithName("createFiringOutcomes").TakesKey().Answers<BatchAnswer<OutcomeAnswer>>().Refuses(409, 422);

    /// <summary>Write down how a whole firing came out</summary>
    /// <remarks>
    /// By its real load: all that was looked at is of one grade, except what is named. Who plans and fires writes for everybody, a potter for their own ware.
    /// What has an outcome already keeps it. All or nothing.
    /// </remarks>
    private static async Task<IResult> Create(
        Guid firingId, FiringOutcomesBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var (studio, firing) = (caller.StudioId, new Id<Firing>(firingId));
        if (await db.Set<Firing>().AsNoTracking().SingleOrDefaultAsync(f => f.StudioId == studio && f.Id == firing, cancellation) is not { } found)
            return Problems.Absent();
        if (found.State is not (>= FiringState.Unloaded and not FiringState.Cancelled)) return Problems.Of(OutcomeEndpoints.NotUnloaded);
        var judged = (await db.Set<Outcome>().AsNoTracking().Where(o => o.StudioId == studio && o.FiringId == firing).Select(o => new { o.PieceId, o.Copy })
            .ToListAsync(cancellation))
            .Select(o => (o.PieceId, o.Copy)).ToHashSet();
        var load = (await db.Set<LoadItem>().AsNoTracking().Where(i => i.StudioId == studio && i.FiringId == firing && i.Fate == LoadFate.Placed)
            .ToListAsync(cancellation))
            .Where(i => caller.MayActFor(i.Frozen.MemberId) is null).OrderBy(i => i.PieceId.Value).ThenBy(i => i.Copy).ToList();
        var asksPlaces = body.Except.Any(w => w.Place is not null) || body.NotSeen.Any(w => w.Place is not null);
        var plan = asksPlaces ? await db.ReadRoom(studio, firing, cancellation) : null;
        if (!Lines(body, load, plan).TryGet(out var lines, out var refusal)) return Problems.Of(refusal);
        var open = lines.Where(l => !judged.Contains((new Id<Piece>(l.PieceId), l.Copy))).Select(l => l with { FiringId = firingId }).ToList();
        return await Batches.Run<OutcomeLine, OutcomeAnswer>(
            context, db, open, allOrNothing: true, line => OutcomeEndpoints.Create(line.PieceId, line, caller, context, db, clock, cancellation), cancellation);
    }

    /// <summary>A line for each copy that was looked at, or what is named and was not in the kiln, or named twice.</summary>
    internal static Result<IReadOnlyList<OutcomeLine>> Lines(FiringOutcomesBody body, IReadOnlyList<LoadItem> load, RoomSnapshot? plan)
    {
        var lines = load.ToDictionary(i => (i.PieceId, i.Copy), i => new OutcomeLine(i, new OutcomeDescription { Grade = body.Others }));
        var named = new HashSet<(Id<Piece>, int)>();
        for (var i = 0; i < body.Except.Count; i++)
        {
            var unlike = body.Except[i];
            if (!Named(unlike, load, plan, named, $"/except/{i}").TryGet(out var ware, out var refusal)) return refusal;
            foreach (var item in ware) lines[(item.PieceId, item.Copy)] = new OutcomeLine(item, unlike);
        }

        for (var i = 0; i < body.NotSeen.Count; i++)
        {
            if (!Named(body.NotSeen[i], load, plan, named, $"/notSeen/{i}").TryGet(out var ware, out var refusal)) return refusal;
            foreach (var item in ware) lines.Remove((item.PieceId, item.Copy));
        }

        return lines.Values.ToList();
    }

    private static Result<IReadOnlyList<LoadItem>> Named(
        IUnloadedWare ware, IReadOnlyList<LoadItem> load, RoomSnapshot? plan, HashSet<(Id<Piece>, int)> named, string pointer)
    {
        var mark = ware.Mark?.Trim();
        var standing = ware.Place is { } place ? FiringSheet.StandingAt(plan!, place.Shelf, place.Number) : [];
        var pieces = load.Where(i => ware.Place is not null ? standing.Contains((i.PieceId, i.Copy))
            : ware.PieceId is { } id ? i.PieceId.Value == id : string.Equals(i.Frozen.Mark?.Trim(), mark, StringComparison.Ordinal)).ToList();
        if (pieces.Count == 0)
        {
            return Refusal.Rule(
                "outcomes.was-not-in", $"No ware {WordsOf(ware)} that you may write for went into this firing. Check it, or look at the load.", pointer);
        }

        if (mark is not null && pieces.Select(i => i.PieceId).Distinct().Skip(1).Any())
        {
            return Refusal.Rule(
                "outcomes.mark-twice",
                    $"The mark {mark} stands under several: {string.Join(", ", pieces.Select(i => i.Frozen.Name).Distinct(StringComparer.Ordinal))}. Name "
                        + $"the one by its pieceId.", pointer + "/mark");
        }

        var chosen = ware.Copies is null ? pieces : pieces.FindAll(i => ware.Copies.Contains(i.Copy));
        if (ware.Copies is { } asked && chosen.Count != asked.Distinct().Count())
            return Refusal.Rule("outcomes.was-not-in",
                $"Not all of these copies of {WareNames.NameOf(pieces[0].Frozen)} went into this firing. A request counts copies from 0.", pointer + "/copies");
        return chosen.Find(i => !named.Add((i.PieceId, i.Copy))) is { } twice
            ? Refusal.Rule("outcomes.copy-twice", $"{WareNames.CopyOf(twice.Frozen, twice.Copy)} is named twice. Name it once.", pointer) : chosen;
    }

    private static string WordsOf(IUnloadedWare ware) => ware switch
    {
        { Mark: { } mark } => $"with the mark {mark.Trim()}",
        { Place: { } place } => $"at No. {place.Number} of shelf {place.Shelf} of the load sheet",
        _ => "of that id",
    };
}

internal sealed class FiringOutcomesValidator : AbstractValidator<FiringOutcomesBody>
{
    private const int Most = 500;

    public FiringOutcomesValidator()
    {
        RuleFor(o => o.Except).AtMost(Most);
        RuleForEach(o => o.Except).ChildRules(unlike =>
        {
            Ware(unlike);
            unlike.SaysWhatCameOut();
        });
        RuleFor(o => o.NotSeen).AtMost(Most);
        RuleForEach(o => o.NotSeen).ChildRules(Ware);
    }

    private static void Ware<T>(InlineValidator<T> ware)
        where T : class, IUnloadedWare
    {
        ware.RuleFor(w => w.Mark).Must((w, _) => (w.Mark is null ? 0 : 1) + (w.PieceId is null ? 0 : 1) + (w.Place is null ? 0 : 1) == 1)
            .WithErrorCode("request.one-of").WithMessage("Name the ware by its pieceId, its mark or its place on the load sheet, one of the three.");
        ware.RuleFor(w => w.Mark).OptionalLine(PieceLimits.MaxMark);
        ware.RuleFor(w => w.Copies).AtMost(Most);
    }
}
