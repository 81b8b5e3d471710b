using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Papers;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A firing's bill.</summary>
public static class BillEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapBills(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Costs");
        firing.MapGet("/bill", Read).WithName("readBill").Answers<BillAnswer>().Refuses(422);
        firing.MapGet("/bill.csv", ReadCsv).WithName("readBillCsv").AnswersCsv();
        firing.MapGet("/bill.pdf", ReadPdf).WithName("readBillPdf").AnswersPdf();
    }

    /// <summary>Read a firing's bill</summary>
    /// <remarks>As settled; before that, as it would be settled now. A table holds the lines that are shown.</remarks>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        (await Make(firingId, caller, db, cancellation)).TryGet(out var bill, out var refusal) ? TypedResults.Ok(bill) : Problems.Of(refusal);

    /// <summary>Read a firing's bill as a table</summary>
    private static async Task<IResult> ReadCsv(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        (await Make(firingId, caller, db, cancellation)).TryGet(out var bill, out var refusal)
            ? BillPapers.Csv(bill).Answer($"bill-{firingId}.csv") : Problems.Of(refusal);

    /// <summary>Read a firing's bill as a paper</summary>
    private static async Task<IResult> ReadPdf(Guid firingId, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (!(await Make(firingId, caller, db, cancellation)).TryGet(out var bill, out var refusal)) return Problems.Of(refusal);
        using var paper = BillPapers.Pdf(bill, clock.GetCurrentInstant().ToDateTimeUtc());
        return paper.Answer($"bill-{firingId}.pdf");
    }

    private static async Task<Result<BillAnswer>> Make(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing)
            return new Refusal(RefusalKind.Absent, "request.not-found", "There is no such thing in your studio. Check the id.");
        if (!(await FiringCosts.Read(db, firing, cancellation)).TryGet(out var costs, out var refusal)) return refusal;
        var studio = await StudioReading.ReadStudio(db, cancellation);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var names = await StudioReading.NamesOf(db, costs.Cost.Charged.Shares.Select(s => s.Id), cancellation);
        var quotes = await QuotesOf(db, firing, cancellation);
        var view = costs.ViewOf(studio, caller);
        return new BillAnswer
        {
            FiringId = firingId,
            Firing = EntryWords.OfFiring(firing, kiln.Making.Name, DateTimeZoneProviders.Tzdb[studio.TimeZone]),
            Studio = studio.Name,
            Outcome = costs.Basis.Outcome,
            Revision = costs.Settled?.Revision,
            CorrectedBecause = costs.Settled?.Reason,
            Currency = costs.Currency.Code,
            Shown = view.Shown,
            Withheld = view.Withheld,
            EnergyKwh = view.ShowsTotals ? costs.Cost.EnergyKwh : null,
            PerKwh = view.ShowsTotals && costs.Basis.Billed is null ? Prices.Write(costs.Basis.PerKwh) : null,
            Costs = !view.ShowsParts(costs.Cost.Metered) ? [] : [.. costs.Cost.Request.Parts.GroupBy(p => p.Name, StringComparer.Ordinal)
                .Select(g => new SharePartContract { Name = g.Key, AmountMinor = g.Sum(p => p.AmountMinor) }), .. TaxOf(costs.Cost.Charged)],
            Lines = [.. costs.Cost.Charged.Shares.Where(s => view.Shows(s.Id))
                .Select(s => LineOf(s, costs, s.Id is null ? studio.Name : names.GetValueOrDefault(s.Id, "a former member"), quotes, view))],
            TotalMinor = view.ShowsTotals ? costs.Cost.Charged.TotalMinor : null,
            Reasons = costs.ReasonsFor(view),
            Notes = view.ShowsTotals
                ? [.. costs.Cost.Metered.Notes.Select(n => n.Message), .. costs.Doubts.Select(d => d.Message), .. OverruledWords(costs.Basis)] : [],
        };
    }

    private static IEnumerable<SharePartContract> TaxOf(CostSplitAnswer charged) =>
        Vat.In(charged.Shares) is var tax and not 0 ? [new SharePartContract { Name = Vat.Part, AmountMinor = tax }] : [];

    private static IEnumerable<string> OverruledWords(FiringCostBasis basis) =>
        basis.Overruled is { } word
            ? [$"Its energy was settled although the service doubted it ({string.Join(", ", word.Codes)}); an owner said: {word.Reason}."] : [];

    /// <summary>Each member's newest quote that still holds: of bookings that were not withdrawn.</summary>
    private static async Task<List<BookingQuote>> QuotesOf(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var quotes = await (from quote in db.Set<BookingQuote>().AsNoTracking()
                            join booking in db.Set<Booking>() on new { quote.StudioId, Id = quote.BookingId } equals new { booking.StudioId, booking.Id }
                            where quote.StudioId == firing.StudioId && quote.FiringId == firing.Id && booking.State != BookingState.Withdrawn
                            select quote).ToListAsync(cancellation);
        return [.. quotes.GroupBy(q => q.MemberId).Select(g => g.MaxBy(q => q.LoadVersion)!)];
    }

    private static BillLineContract LineOf(Share share, FiringCosts costs, string name, List<BookingQuote> quotes, AmountsView view)
    {
        var basis = costs.Basis;
        var use = basis.Uses.FirstOrDefault(u => u.Id == share.Id);
        var all = basis.Uses.Sum(u => u.VolumeCm3 ?? 0);
        return new BillLineContract
        {
            MemberId = share.Id is null ? null : Guid.Parse(share.Id),
            Name = name,
            Pieces = use?.Pieces,
            VolumeCm3 = use?.VolumeCm3,
            VolumePercent = view.ShowsTotals && use?.VolumeCm3 is { } volume && all > 0 ? decimal.Round(volume * 100 / all, 1) : null,
            MassG = use?.MassG,
            Parts = ShareContract.Of(share).Parts,
            AmountMinor = share.AmountMinor,
            MeteredMinor = FiringCost.IsByList(basis) ? costs.Cost.Metered.Shares.FirstOrDefault(s => s.Id == share.Id)?.AmountMinor ?? 0 : null,
            Quote = quotes.Find(q => q.MemberId.ToString() == share.Id) is { } quote ? BilledQuoteContract.Of(quote, costs, share.AmountMinor, view) : null,
        };
    }
}
