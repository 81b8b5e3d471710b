using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>What a firing would cost me.</summary>
public static class QuoteEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapQuotes(this RouteGroupBuilder studio) => studio.MapPost("/firings/{firingId:guid}/quotes", Quote)
        .WithTags("Costs").WithName("quoteFiring").Answers<QuoteAnswer>().Refuses(422);

    /// <summary>Quote a member's share of a firing</summary>
    /// <remarks>With what is booked now and this ware beside it, by the studio's cost rules. Keeps nothing and books nothing.</remarks>
    private static async Task<IResult> Quote(Guid firingId, QuoteBody body, Caller caller, KilnShareDb db, LearntKilns memory, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!(await WantedCopies(db, caller, body, cancellation)).TryGet(out var mine, out var refusal)) return Problems.Of(refusal);
        var load = await LoadWith(db, firing, mine, cancellation);
        if (!(await FiringCosts.BasisOf(db, firing, load, cancellation)).TryGet(out var basis, out refusal)) return Problems.Of(refusal);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var assumed = await Forecast(db, memory, kiln, firing, load, cancellation)
            ?? EnergyAssumption.Of(await LastKwh(db, firing, cancellation), kiln.Making.RatedKw, firing.FiringHours, firing.Aim.Kind);
        if (assumed is not { } energy)
            return Problems.Of(Refusal.Rule("costs.no-energy-basis", "Nothing is known of this kiln's energy: no firing of this kind was metered, and its rated power is not written down. Ask a technician to write the kW from its plate down."));
        var member = mine[0].Frozen.MemberId.ToString();
        var currency = await StudioReading.CurrencyOf(db, cancellation);
        var at = new[] { 0m, -energy.HalfWidthPercent, energy.HalfWidthPercent };
        var costs = at.Select(percent => FiringCost.Of(basis, currency, decimal.Round(energy.Kwh * (100 + percent) / 100, 3))).ToList();
        if (costs.Find(c => c.Refusal is not null) is { } refused) return Problems.Of(refused.Refusal!);
        return TypedResults.Ok(AnswerOf(member, currency, energy, basis, [.. costs.Select(c => c.Value)], load));
    }

    private static QuoteAnswer AnswerOf(
        string member, Currency currency, EnergyAssumption energy, FiringCostBasis basis, List<FiringCost> costs, IReadOnlyList<UsedCopy> load)
    {
        var ends = costs.ConvertAll(c => c.Charged.Shares.First(s => s.Id == member));
        return new QuoteAnswer
        {
            MemberId = Guid.Parse(member),
            Currency = currency.Code,
            LowMinor = ends.Min(s => s.AmountMinor), // a share may fall by a unit as the total grows: the interval holds all three
            LikelyMinor = ends[0].AmountMinor,
            HighMinor = ends.Max(s => s.AmountMinor),
            Parts = ShareContract.Of(ends[0]).Parts,
            Reasons = CostSentences.Reasons(basis, costs[0]),
            EnergyKwh = energy.Kwh,
            HalfWidthPercent = energy.HalfWidthPercent,
            Assumption = energy.Sentence,
            Load = new QuotedLoadContract
            {
                Members = basis.Uses.Count,
                Pieces = load.Count,
                VolumeCm3 = basis.Uses.Sum(u => u.VolumeCm3 ?? 0),
                YourVolumeCm3 = basis.Uses.First(u => u.Id == member).VolumeCm3 ?? 0,
            },
        };
    }

    private static async Task<Result<IReadOnlyList<CopyNow>>> WantedCopies(KilnShareDb db, Caller caller, QuoteBody body, CancellationToken cancellation)
    {
        var now = await db.ReadCopies(caller.StudioId, [.. body.Pieces.Select(p => new Id<Piece>(p.PieceId))], cancellation);
        var chosen = new List<CopyNow>();
        for (var i = 0; i < body.Pieces.Count; i++)
        {
            var wanted = now.Where(c => c.Piece.Id.Value == body.Pieces[i].PieceId && body.Pieces[i].Copies?.Contains(c.Copy.Copy) != false).ToList();
            if (wanted.Count == 0 || (body.Pieces[i].Copies is { } asked && asked.Count != wanted.Count))
                return Refusal.Rule("bookings.no-such-piece", "There is no such piece or copy in your studio. Write it down first, or check the id.", $"/pieces/{i}/pieceId");
            chosen.AddRange(wanted);
        }

        if (chosen.Exists(c => c.Piece.MemberId != chosen[0].Piece.MemberId))
            return Refusal.Rule("bookings.two-members", "A quote is for ware of one member. Ask for each member's ware by itself.", "/pieces");
        return caller.MayActFor(chosen[0].Piece.MemberId) is { } notYours ? notYours : chosen;
    }

    /// <summary>What is booked, less these copies where they are booked already, and these.</summary>
    private static async Task<IReadOnlyList<UsedCopy>> LoadWith(KilnShareDb db, Firing firing, IReadOnlyList<CopyNow> mine, CancellationToken cancellation)
    {
        var booked = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Confirmed).ToListAsync(cancellation);
        var others = booked.Where(b => !mine.Any(m => m.Piece.Id == b.PieceId && m.Copy.Copy == b.Copy));
        return [.. others.Select(b => new UsedCopy(b.Frozen, b.ShelfNo)), .. mine.Select(m => new UsedCopy(m.Frozen, booked.Find(b => b.PieceId == m.Piece.Id && b.Copy == m.Copy.Copy)?.ShelfNo))];
    }

    /// <summary>By the kiln as it has been learnt; null where kiln or schedule is not written down, or nothing was learnt and like firings were settled.</summary>
    private static async Task<EnergyAssumption?> Forecast(
        KilnShareDb db, LearntKilns memory, Kiln kiln, Firing firing, IReadOnlyList<UsedCopy> load, CancellationToken cancellation)
    {
        if (firing.ScheduleId is not { } named || await KilnLearning.Read(db, memory, kiln, cancellation) is not { } known) return null;
        if (known.Learnt.Firings == 0 && (await LastKwh(db, firing, cancellation)).Count > 0) return null;
        var schedule = await db.Set<StudioSchedule>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId && s.Id == named, cancellation);
        double? wareKg = load.All(c => c.Frozen.MassG is not null) ? load.Sum(c => (double)c.Frozen.MassG!.Value) / 1000 : null;
        return KilnForecasts.Of(kiln, schedule.Schedule, firing.Aim.Kind, known, wareKg) is { } forecast && forecast.TryGet(out var found, out _)
            ? new EnergyAssumption(EnergyByPartContract.Kwh(found.EnergyKwh), Math.Round((decimal)found.HalfWidthPercent, 1), known.Sentence) : null;
    }

    /// <summary>The energy of this kiln's newest settled firings of the same kind and cone.</summary>
    private static async Task<IReadOnlyList<decimal>> LastKwh(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        const int Looked = 50;
        var settled = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == firing.StudioId && f.KilnId == firing.KilnId && f.State == FiringState.Settled)
            .OrderByDescending(f => f.StartsAt).Take(Looked).ToListAsync(cancellation);
        var alike = settled.Where(f => f.Aim.Kind == firing.Aim.Kind && f.Aim.Cone == firing.Aim.Cone).Take(EnergyAssumption.MostFirings).Select(f => f.Id).ToList();
        return (await db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == firing.StudioId && alike.Contains(s.FiringId)).ToListAsync(cancellation))
            .GroupBy(s => s.FiringId).Select(g => g.MaxBy(s => s.Revision)!.EnergyKwh).ToList();
    }
}
