using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Api.Costs;

/// <summary>Statements of members' accounts.</summary>
public static class StatementEndpoints
{
    private const int MostLines = 10_000;
    private const int FirstYear = 2000;
    private const int LastYear = 2099;

    /// <summary>Maps the routes.</summary>
    public static void MapStatements(this RouteGroupBuilder studio)
    {
        var account = studio.MapGroup("/accounts/{memberId:guid}").WithTags("Costs");
        account.MapGet("/statement", Read).WithName("readStatement").Answers<StatementAnswer>().Refuses(422);
        account.MapGet("/statement.csv", ReadCsv).WithName("readStatementCsv").AnswersCsv();
        account.MapGet("/statement.pdf", ReadPdf).WithName("readStatementPdf").AnswersPdf();
    }

    /// <summary>Read a member's statement</summary>
    /// <remarks>
    /// From the first day until the day before the last, in the studio's zone: the next period opens with this one's closing balance. Of closed
    /// months it stays as it is, to the byte. A potter reads their own.
    /// </remarks>
    private static async Task<IResult> Read(Guid memberId, string from, string to, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        (await Make(memberId, from, to, caller, db, cancellation)).TryGet(out var statement, out var refusal)
            ? TypedResults.Ok(statement) : Problems.Of(refusal);

    /// <summary>Read a member's statement as a table</summary>
    private static async Task<IResult> ReadCsv(Guid memberId, string from, string to, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        (await Make(memberId, from, to, caller, db, cancellation)).TryGet(out var statement, out var refusal)
            ? StatementPapers.Csv(statement).Answer($"statement-{statement.From}-{statement.To}.csv") : Problems.Of(refusal);

    /// <summary>Read a member's statement as a paper</summary>
    private static async Task<IResult> ReadPdf(
        Guid memberId, string from, string to, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (!(await Make(memberId, from, to, caller, db, cancellation)).TryGet(out var statement, out var refusal)) return Problems.Of(refusal);
        using var paper = StatementPapers.Pdf(statement, (statement.ClosedAt ?? clock.GetCurrentInstant()).ToDateTimeUtc());
        return paper.Answer($"statement-{statement.From}-{statement.To}.pdf");
    }

    private static async Task<Result<StatementAnswer>> Make(
        Guid memberId, string from, string to, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        var id = new Id<Member>(memberId);
        if (caller.MayActFor(id) is { } notYours) return notYours;
        if (await db.FindAsync<Member>([caller.StudioId, id], cancellation) is not { } member) return Absent();
        if (!Days(from, to).TryGet(out var days, out var refusal)) return refusal;
        var studio = await StudioReading.ReadStudio(db, cancellation);
        await using var reading = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        var closing = await ClosingEndpoints.Of(db, caller, days.End, cancellation);
        var zone = DateTimeZoneProviders.Tzdb[closing?.Names.TimeZone ?? studio.TimeZone];
        var period = new Interval(zone.AtStartOfDay(days.First).ToInstant(), zone.AtStartOfDay(days.End).ToInstant());
        var account = Account.OfMember(id.ToString());
        var opening = await db.BalanceBefore(caller.StudioId, account, period.Start, cancellation);
        var entries = await db.EntriesOf(caller.StudioId, account, period, MostLines + 1, cancellation);
        if (entries.Count > MostLines)
            return Refusal.Rule("costs.period-too-long", $"The period has more than {MostLines} lines. Ask for a shorter one.", "/to");
        var words = await EntryWords.Read(db, zone, closing?.Names, entries, cancellation);
        var shares = await StatementShares.Read(db, caller, studio, account, entries, cancellation);
        var statement = Statement.From(account, Currency.Parse(studio.Currency)!.Value, opening, entries);
        return new StatementAnswer
        {
            Studio = closing?.Names.Studio ?? studio.Name,
            MemberId = memberId,
            Name = closing?.Names.Members.GetValueOrDefault(id.ToString()) ?? member.Name,
            Currency = studio.Currency,
            From = from,
            To = to,
            LastDay = LocalDatePattern.Iso.Format(days.End.PlusDays(-1)),
            ClosedAt = closing?.ClosedAt,
            OpeningMinor = (long)statement.OpeningMinor,
            Entries = [.. statement.Lines.Select(l => LineOf(l, words, shares, zone))],
            ClosingMinor = (long)statement.ClosingMinor,
        };
    }

    private static StatementLineContract LineOf(StatementLine line, EntryWords words, StatementShares shares, DateTimeZone zone) => new()
    {
        At = line.Entry.At,
        Date = EntryWords.Day(line.Entry.At, zone),
        Kind = line.Entry.Kind,
        SubjectId = Guid.Parse(line.Entry.Subject),
        Part = line.Entry.Part,
        What = words.What(line.Entry),
        Note = words.Note(line.Entry),
        Share = shares.Of(line.Entry),
        AmountMinor = line.AmountMinor,
        BalanceMinor = (long)line.BalanceMinor,
    };

    /// <summary>The first day and the day after the last; a day begins when the studio's clocks say so, also where they skip midnight.</summary>
    private static Result<(LocalDate First, LocalDate End)> Days(string from, string to)
    {
        if (Date(from) is not { } first) return NotADate("/from");
        if (Date(to) is not { } end) return NotADate("/to");
        return end > first ? (first, end) : Refusal.Invalid("request.out-of-range", "to is the day after the last: it comes after from.", "/to");
    }

    private static LocalDate? Date(string text) =>
        LocalDatePattern.Iso.Parse(text) is { Success: true } date && date.Value.Year is >= FirstYear and <= LastYear ? date.Value : null;

    private static Refusal NotADate(string pointer) =>
        Refusal.Invalid("request.not-a-date", $"Takes a day from {FirstYear} to {LastYear}, as 2026-01-31.", pointer);

    private static Refusal Absent() => new(RefusalKind.Absent, "request.not-found", "There is no such thing in your studio. Check the id.");
}
