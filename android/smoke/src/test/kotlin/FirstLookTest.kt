package wellwright.smoke

import java.nio.file.Path
import java.util.concurrent.atomic.AtomicInteger
import kotlin.test.Test
import kotlin.test.assertContains
import kotlin.test.assertEquals
import kotlin.test.assertFailsWith
import kotlin.test.assertNotEquals
import kotlin.test.assertTrue
import org.junit.jupiter.api.io.TempDir
import wellwright.core.NowObserver
import wellwright.core.NowView
import wellwright.core.Simulation
import wellwright.core.Stage
import wellwright.core.Verdict
import wellwright.core.Wellwright
import wellwright.core.WellwrightException
import wellwright.core.demoRecords
import wellwright.core.uniffiEnsureInitialized

class FirstLookTest {
    @TempDir lateinit var folder: Path

    private fun open(name: String = "wells.db") = Wellwright.open(folder.resolve(name).toString())

    @Test
    fun `the library and the bindings were made from one interface`() {
        uniffiEnsureInitialized()
    }

    @Test
    fun `a pump that turns backwards is found`() {
        val look = firstLook(folder, "reversed_rotation")
        look.views.takeLast(3).forEach { println(line(it)) }
        println(line(look.finding))

        assertTrue(look.views.size >= 3, "views: ${look.views.size}")
        assertEquals(Stage.ENDED, look.views.last().stage)
        assertTrue(look.views.all { it.simulated })
        val last = look.views.last { it.readings.isNotEmpty() }
        assertTrue(last.readings.single { it.id == "flow" }.differs, "$last")
        assertEquals(0uL, look.views.last().lost)

        val finding = look.finding
        assertEquals(Verdict.FAULT, finding.verdict)
        assertEquals("reversed_rotation", finding.causes.first().code)
        assertEquals(1.0, finding.causes.sumOf { it.probability }, 0.02)
        assertContains(finding.json, "\"code\":\"reversed_rotation\"")
        assertTrue(finding.causes.all { it.name.isNotBlank() } && finding.title.isNotBlank())
    }

    @Test
    fun `systems are kept from one opening to the next`() {
        val demo = demoRecords()
        val added = open().use { wellwright ->
            assertEquals(emptyList(), wellwright.systems())
            demo.map { wellwright.addSystem(it.toml, it.fileName) }
        }
        open().use { wellwright ->
            assertEquals(added.sortedBy { it.name }, wellwright.systems())
            assertTrue(wellwright.systems().all { it.recorded })
        }
    }

    @Test
    fun `a cancelled observer hears nothing more`() {
        open().use { wellwright ->
            val demo = demoRecords().first()
            val system = wellwright.addSystem(demo.toml, demo.fileName)
            wellwright.startSimulated(system.id, Simulation("healthy", 2uL, 60.0, null))
            val kept = Kept()
            val subscription = wellwright.observe(kept)
            waitUntil { kept.views.isNotEmpty() }
            subscription.cancel()
            Thread.sleep(500)
            val heard = kept.views.size
            Thread.sleep(700)
            assertEquals(heard, kept.views.size)
            assertNotEquals(Stage.ENDED, wellwright.now().stage, "the session goes on")
            wellwright.stop()
            assertEquals(Stage.ENDED, wellwright.now().stage)
        }
    }

    @Test
    fun `an observer that throws is given the next view`() {
        open().use { wellwright ->
            val demo = demoRecords().first()
            val system = wellwright.addSystem(demo.toml, demo.fileName)
            wellwright.startSimulated(system.id, Simulation("healthy", 2uL, 60.0, null))
            val heard = AtomicInteger()
            val clumsy = object : NowObserver {
                override fun onUpdate(view: NowView) {
                    check(heard.incrementAndGet() > 2) { "dropped it" }
                }
            }
            wellwright.observe(clumsy).use { waitUntil { heard.get() >= 4 } }
            wellwright.stop()
        }
    }

    @Test
    fun `failures cross as exceptions that say what to do`() {
        val noFolder = assertFailsWith<WellwrightException.Store> { open("no/such/folder/wells.db") }
        assertContains(noFolder.detail, "folder")
        open().use { wellwright ->
            assertFailsWith<WellwrightException.NotFound> { wellwright.finding() }
            val record = assertFailsWith<WellwrightException.BadInput> {
                wellwright.addSystem("name = \"Half\"\n[pump]\nknid = 1\n", "half.system.toml")
            }
            assertContains(record.detail, "half.system.toml")
            val demo = demoRecords().last()
            val system = wellwright.addSystem(demo.toml, demo.fileName)
            val cause = assertFailsWith<WellwrightException.BadInput> {
                wellwright.startSimulated(system.id, Simulation("bad_mood", 1uL, 0.0, null))
            }
            assertContains(cause.detail, "reversed_rotation")
            wellwright.startSimulated(system.id, Simulation("healthy", 1uL, 10.0, null))
            assertFailsWith<WellwrightException.Busy> {
                wellwright.startSimulated(system.id, Simulation("healthy", 1uL, 10.0, null))
            }
        }
    }
}

/** Waits for what must come soon; gives up after ten seconds. */
private fun waitUntil(came: () -> Boolean) {
    val end = System.nanoTime() + 10_000_000_000
    while (!came()) {
        check(System.nanoTime() < end) { "it did not come" }
        Thread.sleep(20)
    }
}
